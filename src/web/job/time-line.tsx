import type { ReactNode } from "react";
import type { LogLine } from "../../app/api/entry.js";
import { discard, type WaitingEntry } from "../net/outbox.js";
import { momentText } from "../ui/words.js";

interface Props {
  readonly log: readonly LogLine[];
  readonly waiting: readonly WaitingEntry[];
  readonly onStrike: (line: LogLine) => void;
  readonly readOnly: boolean;
}

/** The log, latest first, with what has not reached it yet on top. */
export function TimeLine({ log, waiting, onStrike, readOnly }: Props): ReactNode {
  const now = new Date();
  const lines = log.toReversed();
  return (
    <section className="log" aria-labelledby="log-title">
      <h2 id="log-title" tabIndex={-1}>
        Log
      </h2>
      <ol className="log-lines" reversed>
        {waiting.toReversed().map((item) => (
          <li key={item.id} className="log-line log-waiting">
            <span className="log-mark" aria-hidden="true" />
            <div className="log-words">
              <p>{item.says}</p>
              <p className="quiet">
                {item.refused === undefined
                  ? "kept here, waiting to be sent"
                  : `not taken: ${item.refused.message} ${item.refused.hint ?? ""}`}
              </p>
            </div>
            {item.refused !== undefined && (
              <button type="button" className="strike" onClick={() => discard(item.id)}>
                Discard
              </button>
            )}
          </li>
        ))}
        {lines.map((line) => (
          <li key={line.id} className={`log-line log-${kindOf(line)}`} data-struck={line.struck}>
            <span className="log-mark" aria-hidden="true" />
            <div className="log-words">
              <p>
                {line.struck ? (
                  <>
                    <s>{line.text}</s> <span className="log-struck">struck out</span>
                  </>
                ) : (
                  line.text
                )}
              </p>
              <p className="quiet">
                <span className="log-number">{line.number}</span> {momentText(line.at, now)}
              </p>
            </div>
            {!readOnly && canStrike(line) && (
              <button
                type="button"
                className="strike"
                onClick={() => onStrike(line)}
                aria-label={
                  line.entry.kind === "strike"
                    ? `Put back entry ${line.entry.entry}`
                    : `Strike out entry ${line.number}: ${line.text}`
                }
              >
                {line.entry.kind === "strike" ? "Put back" : "Strike out"}
              </button>
            )}
          </li>
        ))}
      </ol>
    </section>
  );
}

function canStrike({ entry, struck }: LogLine): boolean {
  return (
    !struck && entry.kind !== "job-setup" && entry.kind !== "job-closed" && entry.kind !== "job-reopened"
  );
}

function kindOf({ entry }: LogLine): "seen" | "measured" | "done" | "aside" {
  switch (entry.kind) {
    case "symptom":
    case "characters":
      return "seen";
    case "reading":
    case "warmed":
    case "cooled":
    case "flexed":
    case "removed":
      return "measured";
    case "swap":
    case "repair":
    case "reseat":
    case "piggyback":
    case "other-supply":
      return "done";
    default:
      return "aside";
  }
}
