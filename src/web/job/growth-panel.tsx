import type { ReactNode } from "react";
import type { Growth } from "../../app/api/boards.js";
import type { LogLine } from "../../app/api/entry.js";
import { apiAddress } from "../net/request.js";

/** What was measured of the wiring, what it changed, and which facts cannot hold together. */
export function GrowthPanel({
  job,
  growth,
  log,
  onStrike,
}: {
  readonly job: string;
  readonly growth: Growth;
  readonly log: readonly LogLine[];
  readonly onStrike: (line: LogLine) => void;
}): ReactNode {
  const { changes, contradictions } = growth;
  const lines = (numbers: readonly number[]): readonly LogLine[] =>
    log.filter(({ number, struck }) => numbers.includes(number) && !struck);
  return (
    <section className="growth" aria-labelledby="growth-title">
      <h2 id="growth-title">Wiring measured here</h2>
      {contradictions.map(({ entry, against, says }) => (
        <div key={entry} className="growth-against">
          <p>
            {says} Entry {entry} changes nothing until one of them is struck out.
          </p>
          <div className="board-files">
            {lines([...against, entry]).map((line) => (
              <button key={line.number} type="button" className="plain-button" onClick={() => onStrike(line)}>
                Strike out {line.number}: {line.text.replace(/^Wiring: /, "")}
              </button>
            ))}
          </div>
        </div>
      ))}
      <ul>
        {changes.map(({ says }) => (
          <li key={says}>{says}</li>
        ))}
      </ul>
      <p>
        <a className="plain-button" href={apiAddress(`/jobs/${job}/board-file`)} download>
          Download this board
        </a>
      </p>
    </section>
  );
}
