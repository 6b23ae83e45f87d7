import type { ReactNode } from "react";
import type { LearnedTape } from "../../../core/tape/learn.js";
import type { TapeScheme } from "../../../core/tape/scheme.js";

const verdicts: Readonly<Record<LearnedTape["verdict"], string>> = {
  data: "A scheme that reads this recording",
  unclear: "This looks like data, but no scheme that was tried fits",
  "not-data": "This recording holds no data",
};

/** What was learned from a recording, with what speaks for it, for the user to confirm. */
export function Learned({
  learned,
  onTake,
  onClose,
}: {
  readonly learned: LearnedTape;
  readonly onTake: (scheme: TapeScheme) => void;
  readonly onClose: () => void;
}): ReactNode {
  const { verdict, scheme, evidence, bytes, clearShare } = learned;
  return (
    <section className="learned" aria-labelledby="learned-title" role="status">
      <h2 id="learned-title">{verdicts[verdict]}</h2>
      {bytes !== undefined && clearShare !== undefined && (
        <p>
          It reads <strong>{bytes}</strong> bytes, <strong>{Math.round(100 * clearShare)} %</strong> of them
          without doubt.
        </p>
      )}
      <ul>
        {evidence.map(({ what, confidence }) => (
          <li key={what}>
            {what} <span className="quiet">({Math.round(100 * confidence)} % sure)</span>
          </li>
        ))}
      </ul>
      <div className="learned-actions">
        {scheme !== undefined && (
          <button type="button" className="main-button" onClick={() => onTake(scheme)}>
            Use this scheme
          </button>
        )}
        <button type="button" className="plain-button" onClick={onClose}>
          Leave it
        </button>
      </div>
    </section>
  );
}
