import type { ReactNode } from "react";
import type { TapeMargins } from "../../../core/tape/margin.js";

/** How far a recording may drift before the machine's own loader would make a mistake. */
export function Margins({
  margins,
  bytes,
}: {
  readonly margins: TapeMargins | undefined;
  /** Bytes that were loaded, at most. */
  readonly bytes: number;
}): ReactNode {
  if (margins === undefined) {
    return (
      <p className="margins" role="status">
        The loader that this scheme describes does not load even the clean recording: its thresholds do not
        fit.
      </p>
    );
  }
  const lines: readonly (readonly [string, string])[] = [
    ["Speed", `${signed(margins.slowestPercent)} % to ${signed(margins.fastestPercent)} %`],
    ["Level", `down to ${signed(margins.quietestDecibel)} dB`],
    ["White noise", `up to ${margins.noiseDecibel} dB below the signal`],
    ["Threshold", `${margins.thresholdLowPercent} % to ${margins.thresholdHighPercent} % of its length`],
  ];
  return (
    <div className="margins" role="status">
      <dl>
        {lines.map(([what, holds]) => (
          <div key={what}>
            <dt>{what}</dt>
            <dd>{holds}</dd>
          </div>
        ))}
      </dl>
      <p className="quiet">
        Found by loading a clean recording of the first {bytes} bytes with the thresholds of the scheme, one
        thing drifting at a time.
      </p>
    </div>
  );
}

function signed(value: number): string {
  if (value === 0) return "0";
  return value < 0 ? `−${-value}` : `+${value}`;
}
