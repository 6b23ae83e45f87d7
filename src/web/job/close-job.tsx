import { type ReactNode, useState } from "react";
import type { Findings } from "../../app/api/findings.js";
import type { ErrorBody } from "../../app/api/shapes.js";
import { percentText } from "../../core/draw/suspicion.js";
import type { Verdict } from "../../core/job/job-entry.js";
import { api } from "../net/api.js";
import { problemOf } from "../net/load.js";
import { Dialog } from "../ui/dialog.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";

/** Closes a job with its verdict: which part it was, and in what words it is handed over. */
export function CloseJob({
  job,
  findings,
  mended,
  onClose,
  onDone,
}: {
  readonly job: string;
  readonly findings: Findings | null;
  /** The part whose repair made the machine work, if the log holds one. */
  readonly mended: string | undefined;
  readonly onClose: () => void;
  readonly onDone: () => void;
}): ReactNode {
  const suspects = (findings?.result.suspects ?? []).slice(0, 8);
  const [part, setPart] = useState(mended ?? suspects[0]?.part ?? "");
  const [words, setWords] = useState("");
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const [busy, setBusy] = useState(false);
  const offered = [
    ...new Set([...(mended === undefined ? [] : [mended]), ...suspects.map((one) => one.part)]),
  ];

  const close = async (): Promise<void> => {
    if (words.trim() === "") {
      setProblem({
        code: "words-missing",
        where: "In your words",
        message: "A verdict needs a sentence.",
        hint: "Say what it was and what you did: the next owner will read it.",
      });
      return;
    }
    const mode = suspects.find((one) => one.part === part)?.modes[0]?.mode;
    const verdict: Verdict = {
      words: words.trim(),
      ...(part === "" ? {} : { part }),
      ...(part === "" || mode === undefined ? {} : { mode }),
    };
    setBusy(true);
    try {
      await api.closeJob(job, verdict);
      onDone();
    } catch (cause) {
      setProblem(problemOf(cause));
    } finally {
      setBusy(false);
    }
  };

  return (
    <Dialog title="Close the job" onClose={onClose}>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void close();
        }}
      >
        <fieldset className="choices">
          <legend>Which part was it?</legend>
          {offered.map((ref) => {
            const suspect = suspects.find((one) => one.part === ref);
            return (
              <label key={ref} className="choice">
                <input
                  type="radio"
                  name="part"
                  value={ref}
                  checked={part === ref}
                  onChange={() => setPart(ref)}
                />
                <span className="place">{ref}</span>
                <span className="quiet">
                  {suspect === undefined ? "mended" : `${suspect.type}, ${percentText(suspect.probability)}`}
                </span>
              </label>
            );
          })}
          <label className="choice">
            <input type="radio" name="part" value="" checked={part === ""} onChange={() => setPart("")} />
            <span>No part was found</span>
          </label>
        </fieldset>
        <label className="field">
          <span>In your words</span>
          <textarea
            rows={3}
            maxLength={2000}
            value={words}
            onChange={(event) => setWords(event.target.value)}
            placeholder="Gate 2 of U12 was dead; replaced, socket fitted, ran four hours."
          />
        </label>
        {problem !== null && <ProblemNote problem={problem} />}
        <div className="dialog-foot">
          <button type="button" className="plain-button" onClick={onClose}>
            Not yet
          </button>
          <button type="submit" className="main-button" disabled={busy}>
            Close the job
          </button>
        </div>
      </form>
    </Dialog>
  );
}
