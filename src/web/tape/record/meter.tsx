import type { ReactNode } from "react";

/** Level below which the meter shows nothing. */
const floorDecibel = -60;

/** A level in decibels below full scale. */
export function decibel(level: number): number {
  return level <= 0 ? Number.NEGATIVE_INFINITY : 20 * Math.log10(level);
}

/** Level of one channel: the bar is the present level, the needle the peak, the last tenth is too loud. */
export function Meter({
  name,
  level,
  peak,
}: {
  readonly name: string;
  readonly level: number;
  readonly peak: number;
}): ReactNode {
  const share = (value: number): number =>
    Math.min(1, Math.max(0, (decibel(value) - floorDecibel) / -floorDecibel));
  const shown = decibel(peak);
  const text = shown < floorDecibel ? "silent" : `${shown.toFixed(0).replace("-", "−")} dB`;
  return (
    <div className="meter">
      <span className="meter-name">{name}</span>
      <svg className="meter-scale" viewBox="0 0 600 26" preserveAspectRatio="none" aria-hidden="true">
        <rect className="meter-ground" width={600} height={26} />
        <rect className="meter-hot" x={570} width={30} height={26} />
        <rect className="meter-bar" y={5} width={600 * share(level)} height={16} />
        <rect className="meter-peak" x={Math.max(0, 600 * share(peak) - 5)} width={5} height={26} />
      </svg>
      <span className="meter-text">{text}</span>
    </div>
  );
}
