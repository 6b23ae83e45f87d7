import { type ReactNode, useId, useState } from "react";
import type { ImportReport, NewBoard } from "../../app/api/own-boards.js";
import type { ErrorBody } from "../../app/api/shapes.js";
import { api } from "../net/api.js";
import { problemOf, useLoaded } from "../net/load.js";
import { notify } from "../state/announcer.js";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";
import { readFiles } from "./read-files.js";
import { ReportView } from "./report-view.jsx";

const endings = ".kicad_pcb,.net,.xml,.csv,.tsv,.edf,.edif,.edn,.ipc,.d356,.356,.json";
const shownUnknown = 40;

/** Files chosen, what would come of them, corrections, and the button that keeps the board. */
export function BringBoard({
  as,
  onKept,
}: {
  /** Board of which this is to be a new version; a new board if absent. */
  readonly as?: string;
  readonly onKept: (id: string) => void;
}): ReactNode {
  const [files, setFiles] = useState<NewBoard["files"] | null>(null);
  const [report, setReport] = useState<ImportReport | null>(null);
  const [types, setTypes] = useState<Readonly<Record<string, string>>>({});
  const [title, setTitle] = useState("");
  const [note, setNote] = useState("");
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const [busy, setBusy] = useState(false);
  const { value: known } = useLoaded("types", api.types);
  const listId = useId();

  const ask = async (chosen: NewBoard["files"], keep: boolean): Promise<void> => {
    setBusy(true);
    setProblem(null);
    try {
      const corrected = Object.fromEntries(Object.entries(types).filter(([, type]) => type.trim() !== ""));
      const made = await api.makeBoard({
        files: chosen,
        keep,
        ...(Object.keys(corrected).length === 0 ? {} : { corrections: { types: corrected } }),
        ...(as === undefined ? {} : { as }),
        ...(title.trim() === "" ? {} : { title }),
        ...(note.trim() === "" ? {} : { note }),
      });
      setReport(made.report);
      if (made.kept === null) return;
      notify({ text: `${made.report.title} is kept, version ${made.kept.version}.` });
      onKept(made.kept.id);
    } catch (cause) {
      setProblem(problemOf(cause));
    } finally {
      setBusy(false);
    }
  };
  const choose = async (list: FileList | null): Promise<void> => {
    const chosen = [...(list ?? [])];
    if (chosen.length === 0) return;
    setReport(null);
    setTypes({});
    const read = await readFiles(chosen);
    if ("problem" in read) {
      setFiles(null);
      setProblem(read.problem);
      return;
    }
    setFiles(read.files);
    await ask(read.files, false);
  };

  return (
    <form
      className="bring"
      onSubmit={(event) => {
        event.preventDefault();
        if (files !== null) void ask(files, true);
      }}
    >
      <label className="field">
        <span>Files of one board</span>
        <input type="file" multiple accept={endings} onChange={(event) => void choose(event.target.files)} />
      </label>
      <p className="quiet">
        A layout or netlist of KiCad, IPC-D-356A, EDIF, or a table of pins; several of one board are joined.
        Or a board file from another bench with its types, or a description of blocks, from which a board is
        sketched. Nothing leaves this machine.
      </p>
      {problem !== null && <ProblemNote problem={problem} />}
      {busy && <Waiting what="The board is being read" />}
      {report !== null && (
        <>
          <ReportView report={report} />
          {report.unknown.length > 0 && (
            <fieldset className="corrections">
              <legend>Not recognised, those that hide most lines first</legend>
              <p className="quiet">
                Left alone, each is taken for a chip whose outputs are right only if all its inputs are. Name
                its type where you know it.
              </p>
              {report.unknown.slice(0, shownUnknown).map(({ ref, value, why }) => (
                <label key={ref} className="field correction">
                  <span>
                    <span className="place">{ref}</span> {value} <span className="quiet">{why}</span>
                  </span>
                  <input
                    type="text"
                    list={listId}
                    maxLength={80}
                    placeholder="type, as 74LS157"
                    value={types[ref] ?? ""}
                    onChange={(event) => setTypes((now) => ({ ...now, [ref]: event.target.value }))}
                  />
                </label>
              ))}
              {report.unknown.length > shownUnknown && (
                <p className="quiet">and {report.unknown.length - shownUnknown} more</p>
              )}
              <datalist id={listId}>
                {(known ?? []).map(({ type, title: words }) => (
                  <option key={type} value={type}>
                    {words}
                  </option>
                ))}
              </datalist>
              <button
                type="button"
                className="plain-button"
                disabled={busy}
                onClick={() => files !== null && void ask(files, false)}
              >
                Read again with these types
              </button>
            </fieldset>
          )}
          <label className="field">
            <span>What the board is called</span>
            <input
              type="text"
              maxLength={200}
              value={title}
              placeholder={report.title}
              onChange={(event) => setTitle(event.target.value)}
            />
          </label>
          {as !== undefined && (
            <label className="field">
              <span>What is new in this version</span>
              <input
                type="text"
                maxLength={2000}
                value={note}
                onChange={(event) => setNote(event.target.value)}
              />
            </label>
          )}
          <button type="submit" className="main-button" disabled={busy || files === null}>
            {as === undefined ? "Keep this board" : "Keep as a new version"}
          </button>
        </>
      )}
    </form>
  );
}
