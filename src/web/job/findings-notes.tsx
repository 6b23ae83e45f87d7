import type { ReactNode } from "react";
import type { LogLine } from "../../app/api/entry.js";
import type { Findings } from "../../app/api/findings.js";
import { isBehind, type JobState } from "../state/job-state.js";
import { Icon } from "../ui/icon.jsx";

/** What is being worked out, how far it is, and a way to stop it. */
export function Progress({
  state,
  onCancel,
}: {
  readonly state: JobState;
  readonly onCancel: () => void;
}): ReactNode {
  const { progress, stopped } = state;
  if (stopped !== null) {
    return (
      <p className="note" role="status">
        {stopped} What stands below is from before.
      </p>
    );
  }
  if (!isBehind(state) || progress === null) return null;
  return (
    <div className="progress">
      <label>
        <span>{progress.doing}</span>
        <progress max={1} value={progress.share} />
      </label>
      <button type="button" className="plain-button" onClick={onCancel}>
        Stop
      </button>
    </div>
  );
}

/** Where the log contradicts what is believed, and what else the reasoning has to say. */
export function Notes({
  findings,
  log,
  onStrike,
}: {
  readonly findings: Findings;
  readonly log: readonly LogLine[];
  readonly onStrike: (line: LogLine) => void;
}): ReactNode {
  const { contradiction, warnings } = findings.result;
  const line = log.find((one) => one.number === contradiction?.entry);
  if (contradiction === null && warnings.length === 0) return null;
  return (
    <section className="notes" aria-label="What does not fit">
      {contradiction !== null && (
        <div className="note note-strong">
          <Icon name="warning" />
          <div>
            <p>
              <strong>The log contradicts itself.</strong> Entry {contradiction.entry} fits least:{" "}
              {contradiction.label}. {contradiction.says}
            </p>
            {line !== undefined && !line.struck && (
              <button type="button" className="plain-button" onClick={() => onStrike(line)}>
                Strike out entry {contradiction.entry}
              </button>
            )}
          </div>
        </div>
      )}
      {warnings.map((warning) => (
        <p key={warning} className="note">
          {warning}
        </p>
      ))}
    </section>
  );
}
