import { type FormEvent, type ReactNode, useState } from "react";
import type { MemoryAnswer, MemoryMeans } from "../../app/api/memory.js";
import type { ErrorBody } from "../../app/api/shapes.js";
import type { PictureFault } from "../../core/memory/picture/picture-fault.js";
import { problemOf } from "../net/load.js";
import { announce } from "../state/announcer.js";
import { record } from "../state/job-state.js";
import { goTo } from "../state/navigation.js";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";
import { CellPanels } from "./cell-panels.jsx";
import { Explanations } from "./explanations.jsx";
import { memoryApi } from "./memory-api.js";

/** What was typed and found for a job, kept while one looks at another page. */
interface Kept {
  readonly text: string;
  readonly tested: string;
  readonly answer: MemoryAnswer | null;
}

/** A line each for 64 KiB of memory, written at length, is less. */
const mostListBytes = 3_000_000;

const kept = new Map<string, Kept>();
const nothing: Kept = { text: "", tested: "", answer: null };

/** Failing addresses, pasted or typed, and what explains them. */
export function FailingAddresses({
  job,
  means,
  closed,
  onSee,
}: {
  readonly job: string;
  readonly means: MemoryMeans;
  readonly closed: boolean;
  readonly onSee: (fault: PictureFault) => void;
}): ReactNode {
  const [state, setState] = useState<Kept>(() => kept.get(job) ?? nothing);
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const [busy, setBusy] = useState(false);
  const keep = (change: Partial<Kept>): void =>
    setState((now) => {
      const next = { ...now, ...change };
      kept.set(job, next);
      return next;
    });
  const explain = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    setBusy(true);
    setProblem(null);
    const { text, tested } = state;
    try {
      const answer = await memoryApi.explain(job, tested.trim() === "" ? { text } : { text, tested });
      keep({ answer });
      const [best] = answer.explanations;
      announce(best === undefined ? "Nothing explains these addresses." : `Best explanation: ${best.title}.`);
    } catch (cause) {
      keep({ answer: null });
      setProblem(problemOf(cause));
    } finally {
      setBusy(false);
    }
  };
  const { answer } = state;
  const file = async (list: FileList | null): Promise<void> => {
    const chosen = list?.item(0) ?? null;
    if (chosen === null) return;
    if (chosen.size > mostListBytes) {
      setProblem({
        code: "request-too-large",
        message: `${chosen.name} is larger than ${mostListBytes / 1e6} MB.`,
        hint: "One failing address a line is enough; leave out what repeats.",
      });
      return;
    }
    setProblem(null);
    keep({ text: await chosen.text() });
  };
  return (
    <section className="stage" aria-labelledby="fails-title">
      <h2 id="fails-title">Failing addresses</h2>
      <form className="fails-form" onSubmit={(event) => void explain(event)}>
        <label className="field fails-text">
          Address, expected, read: one line each
          <textarea
            rows={7}
            spellCheck={false}
            autoCapitalize="off"
            autoComplete="off"
            placeholder={"2A00, 55, 54\n2A01, AA, AB"}
            value={state.text}
            onChange={(event) => keep({ text: event.target.value })}
          />
        </label>
        <div className="fails-side">
          <p className="quiet">
            Hexadecimal, as 2A00, $2A00, 0x2A00 or 2A00h, all in one way. What a test program printed can be
            pasted as it is.
          </p>
          <label className="field">
            Only this was tested
            <input
              type="text"
              spellCheck={false}
              autoCapitalize="off"
              autoComplete="off"
              placeholder="all of it"
              value={state.tested}
              onChange={(event) => keep({ tested: event.target.value })}
            />
          </label>
          <p className="quiet">
            {means.memories.map(({ title, ranges, chips }) => (
              <span key={title} className="fails-memory">
                {title}: {ranges}, {chips.length === 1 ? chips[0] : `${chips[0]} to ${chips.at(-1)}`}
              </span>
            ))}
          </p>
          <label className="field fails-file">
            From a file
            <input
              type="file"
              accept=".csv,.txt,text/*"
              onChange={(event) => void file(event.target.files)}
            />
          </label>
          <button type="submit" className="main-button" disabled={busy || state.text.trim() === ""}>
            Explain
          </button>
        </div>
      </form>
      {busy && <Waiting what="Explanations are being weighed" />}
      {problem !== null && <ProblemNote problem={named(problem)} />}
      {answer !== null && (
        <div className="fails-answer">
          <Explanations job={job} answer={answer} onSee={means.picture === null ? undefined : onSee} />
          {answer.memories
            .filter(({ panels }) => panels.some(({ failing }) => failing > 0))
            .map((memory) => (
              <CellPanels key={memory.title} memory={memory} />
            ))}
          {!closed && (
            <div className="fails-log">
              <p>
                <strong>For the log:</strong> {answer.says}
              </p>
              <button
                type="button"
                className="main-button"
                onClick={() => {
                  record(job, answer.entry, answer.says);
                  goTo({ page: "job", job });
                }}
              >
                Add to the log as evidence
              </button>
            </div>
          )}
        </div>
      )}
    </section>
  );
}

const fieldNames: Readonly<Record<string, string>> = { text: "Addresses", tested: "Tested" };

/** The problem with the name that its field has on this page. */
function named(problem: ErrorBody["error"]): ErrorBody["error"] {
  const where = problem.where === undefined ? undefined : fieldNames[problem.where];
  return where === undefined ? problem : { ...problem, where };
}
