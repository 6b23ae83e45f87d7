import { type ReactNode, useEffect, useState } from "react";
import type { TypeDetail } from "../../app/api/own-types.js";
import type { ErrorBody } from "../../app/api/shapes.js";
import { partTypeFileSchema } from "../../core/board/part-type.js";
import { api } from "../net/api.js";
import { onStreamEvent } from "../net/live.js";
import { problemOf, useLoaded } from "../net/load.js";
import { apiAddress } from "../net/request.js";
import { notify } from "../state/announcer.js";
import { PageHead } from "../ui/page-head.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";
import { TypeForm } from "./type-form.jsx";

const mostShown = 60;
const mostFileBytes = 5_000_000;

/** Part types: looked up, corrected, added, brought from and given to others. */
export function TypesPage(): ReactNode {
  const { value: types, problem, reload } = useLoaded("types", api.types);
  const [wanted, setWanted] = useState("");
  const [edited, setEdited] = useState<TypeDetail["type"] | "new" | null>(null);
  const [refused, setRefused] = useState<ErrorBody["error"] | null>(null);
  useEffect(
    () =>
      onStreamEvent((event) => {
        if (event.type === "boards") reload();
      }),
    [reload],
  );
  const lower = wanted.trim().toLowerCase();
  const found = (types ?? []).filter(
    ({ type, title, own }) =>
      (lower === "" ? own : type.toLowerCase().includes(lower)) ||
      (lower !== "" && title.toLowerCase().includes(lower)),
  );
  const edit = async (name: string): Promise<void> => {
    try {
      setEdited((await api.type(name)).type);
    } catch (cause) {
      setRefused(problemOf(cause));
    }
  };
  const remove = async (name: string): Promise<void> => {
    setRefused(null);
    try {
      await api.removeType(name);
      notify({ text: `Your ${name} is gone.` });
      reload();
    } catch (cause) {
      setRefused(problemOf(cause));
    }
  };
  const bring = async (file: File | undefined): Promise<void> => {
    if (file === undefined) return;
    setRefused(null);
    try {
      if (file.size > mostFileBytes) throw new Error(`'${file.name}' is larger than 5 MB.`);
      const read = partTypeFileSchema.safeParse(JSON.parse(await file.text()));
      if (!read.success) {
        const [issue] = read.error.issues;
        throw new Error(
          `'${file.name}' is no file of part types: ${issue?.path.join(".")}: ${issue?.message}.`,
        );
      }
      for (const type of read.data.types) await api.setType(type);
      notify({ text: `${read.data.types.length} part types taken over.` });
      reload();
    } catch (cause) {
      setRefused(
        cause instanceof SyntaxError
          ? {
              code: "json-syntax",
              message: `'${file.name}' is no JSON.`,
              hint: "Choose a file of part types.",
            }
          : problemOf(cause),
      );
    }
  };

  return (
    <main className="page types-page">
      <PageHead title="Part types" below="what the boards are made of" back={{ page: "boards" }} />
      <section className="stage" aria-labelledby="types-find">
        <h1 id="types-find">Part types</h1>
        {problem !== null && <ProblemNote problem={problem} onRetry={reload} />}
        {types === null && problem === null && <Waiting what="The types are being read" />}
        <label className="field">
          <span>Find a type by number or words</span>
          <input
            type="search"
            maxLength={80}
            value={wanted}
            onChange={(event) => setWanted(event.target.value)}
          />
        </label>
        <p className="quiet" role="status">
          {lower === ""
            ? found.length === 0
              ? "You have none of your own yet."
              : `${found.length} of your own.`
            : `${found.length} found.`}
        </p>
        <ul className="type-list">
          {found.slice(0, mostShown).map(({ type, title, own, package: body }) => (
            <li key={type}>
              <span>
                <span className="place">{type}</span> {title} <span className="quiet">{body}</span>
                {own && <strong> your own</strong>}
              </span>
              <span className="type-actions">
                <button type="button" className="plain-button" onClick={() => void edit(type)}>
                  {own ? "Change" : "Correct"} {type}
                </button>
                {own && (
                  <button type="button" className="plain-button" onClick={() => void remove(type)}>
                    Take {type} away
                  </button>
                )}
              </span>
            </li>
          ))}
        </ul>
        {refused !== null && <ProblemNote problem={refused} />}
        <div className="board-files">
          <button type="button" className="main-button" onClick={() => setEdited("new")}>
            Add a type
          </button>
          <a className="plain-button" href={apiAddress("/own-types")} download="own.types.json">
            Download your own types
          </a>
        </div>
        <label className="field">
          <span>Take over a file of part types</span>
          <input type="file" accept=".json" onChange={(event) => void bring(event.target.files?.[0])} />
        </label>
      </section>
      {edited !== null && (
        <TypeForm
          key={edited === "new" ? "new" : edited.type}
          start={edited === "new" ? undefined : edited}
          onClose={() => setEdited(null)}
          onSaved={() => {
            setEdited(null);
            reload();
          }}
        />
      )}
    </main>
  );
}
