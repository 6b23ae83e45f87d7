import type { ReactNode } from "react";

/** A wrong character and the right one, as they are typed. */
export interface Pair {
  readonly number: number;
  readonly right: string;
  readonly wrong: string;
}

const mostPairs = 8;

/** Fields for pairs of characters. */
export function PairFields({
  pairs,
  onChange,
}: {
  readonly pairs: readonly Pair[];
  readonly onChange: (pairs: readonly Pair[]) => void;
}): ReactNode {
  const change = (number: number, part: Partial<Pair>): void =>
    onChange(pairs.map((pair) => (pair.number === number ? { ...pair, ...part } : pair)));
  return (
    <div className="pairs">
      <p className="quiet">A character as it is printed, or its code as 0x41. A blank is 0x20.</p>
      {pairs.map(({ number, right, wrong }) => (
        <div key={number} className="pair">
          <label className="field">
            Should be
            <input
              type="text"
              maxLength={4}
              spellCheck={false}
              autoCapitalize="off"
              autoComplete="off"
              value={right}
              onChange={(event) => change(number, { right: event.target.value })}
            />
          </label>
          <label className="field">
            Is
            <input
              type="text"
              maxLength={4}
              spellCheck={false}
              autoCapitalize="off"
              autoComplete="off"
              value={wrong}
              onChange={(event) => change(number, { wrong: event.target.value })}
            />
          </label>
        </div>
      ))}
      {pairs.length < mostPairs && (
        <button
          type="button"
          className="plain-button"
          onClick={() => onChange([...pairs, { number: pairs.length + 1, right: "", wrong: "" }])}
        >
          Another pair
        </button>
      )}
    </div>
  );
}

/** Code of a character, or of a code as `0x41` or `$41`; undefined for anything else. */
export function codeOf(text: string): number | undefined {
  if (text.length === 1 && text > " " && text <= "~") return text.charCodeAt(0);
  const digits = /^(?:0x|\$)([0-9a-f]{1,2})$/i.exec(text.trim())?.[1];
  return digits === undefined ? undefined : Number.parseInt(digits, 16);
}
