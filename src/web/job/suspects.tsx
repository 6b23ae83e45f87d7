import { type ReactNode, useState } from "react";
import type { Findings } from "../../app/api/findings.js";
import { percentText } from "../../core/draw/suspicion.js";
import { addressOf } from "../state/route.js";

const shownAtFirst = 6;
const worthSaying = 0.005;

/** The suspects as a ranked picture: a bar for each, hatched if the part is soldered in and plain if it can be pulled. */
export function Suspects({
  job,
  findings,
}: {
  readonly job: string;
  readonly findings: Findings;
}): ReactNode {
  const [all, setAll] = useState(false);
  const { suspects, notInModel, nothingLeft } = findings.result;
  const named = suspects.filter(({ probability }) => probability >= worthSaying);
  const shown = named.slice(0, all ? named.length : shownAtFirst);
  const before = new Map(findings.previous.map(({ part, probability }) => [part, probability]));
  return (
    <section className="suspects" aria-labelledby="suspects-title">
      <h2 id="suspects-title" tabIndex={-1}>
        Suspects
      </h2>
      {named.length === 0 && <p className="quiet">Nobody in particular.</p>}
      <ol className="suspect-list">
        {shown.map(({ part, type, title, socketed, probability }) => (
          <li key={part}>
            <a className="suspect" href={addressOf({ page: "why", job, ref: part })}>
              <span className="suspect-ref place">{part}</span>
              <span className="suspect-words">
                <span className="suspect-type">{type}</span> <span className="suspect-title">{title}</span>
                <span className="suspect-fit">{socketed ? "in a socket" : "soldered"}</span>
              </span>
              <span className="suspect-chance">
                <Moved from={before.get(part)} to={probability} />
                {percentText(probability)}
              </span>
              <Bar share={probability} hatched={!socketed} />
            </a>
          </li>
        ))}
      </ol>
      {named.length > shownAtFirst && (
        <button type="button" className="plain-button" aria-expanded={all} onClick={() => setAll(!all)}>
          {all ? "Show the first six" : `Show all ${named.length}`}
        </button>
      )}
      <p className="quiet suspects-rest">
        Something the model does not know: {percentText(notInModel)}. Nothing wrong any more:{" "}
        {percentText(nothingLeft)}.
      </p>
    </section>
  );
}

/** A bar whose length is a share of its width. */
export function Bar({ share, hatched }: { readonly share: number; readonly hatched: boolean }): ReactNode {
  return (
    <svg className="bar" viewBox="0 0 300 14" preserveAspectRatio="none" aria-hidden="true">
      <defs>
        <pattern
          id="bar-hatch"
          width={7}
          height={7}
          patternUnits="userSpaceOnUse"
          patternTransform="rotate(45)"
        >
          <rect className="bar-hatch-ground" width={7} height={7} />
          <rect className="bar-hatch-line" width={3.4} height={7} />
        </pattern>
      </defs>
      <rect className="bar-whole" width={300} height={14} />
      <rect className={hatched ? "bar-hatched" : "bar-plain"} width={Math.max(2, 300 * share)} height={14} />
    </svg>
  );
}

function Moved({ from, to }: { readonly from: number | undefined; readonly to: number }): ReactNode {
  if (from === undefined || Math.abs(from - to) < worthSaying) return null;
  const rose = to > from;
  return (
    <span className="suspect-moved">
      <span aria-hidden="true">{rose ? "▲" : "▼"}</span>
      <span className="only-heard">{rose ? "risen" : "fallen"}</span> from {percentText(from)}
    </span>
  );
}
