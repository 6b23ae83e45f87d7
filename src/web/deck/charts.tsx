import type { ReactNode } from "react";
import type { DeckReading, TracedPeak } from "../../core/deck/reading.js";

const width = 960;
const height = 260;
const left = 64;
const bottom = 36;
const top = 34;

const lowestHz = 0.2;
const highestHz = 200;
const marks = [0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200] as const;

function across(hz: number): number {
  return left + ((width - left - 16) * Math.log(hz / lowestHz)) / Math.log(highestHz / lowestHz);
}

/** Flutter by frequency, with the parts that may cause its peaks written above them. */
export function SpectrumChart({ reading }: { readonly reading: DeckReading }): ReactNode {
  const { spectrum, peaks } = reading;
  const greatest = Math.max(0.0005, ...peaks.map(({ depthRatio }) => depthRatio)) * 1.15;
  const up = (ratio: number): number =>
    height - bottom - (height - bottom - top) * Math.min(1, Math.sqrt(ratio / greatest));
  const points = spectrumPoints(reading, up);
  return (
    <figure className="mech-chart">
      <figcaption>What flutters</figcaption>
      <svg viewBox={`0 0 ${width} ${height}`} role="img" aria-label={spokenPeaks(peaks)}>
        {marks.map((hz) => (
          <g key={hz}>
            <line className="mech-grid" x1={across(hz)} x2={across(hz)} y1={top} y2={height - bottom} />
            <text className="mech-mark" x={across(hz)} y={height - 10} textAnchor="middle">
              {hz}
            </text>
          </g>
        ))}
        {[0.25, 1].map((share) => (
          <g key={share}>
            <line
              className="mech-grid"
              x1={left}
              x2={width - 16}
              y1={up(share * greatest)}
              y2={up(share * greatest)}
            />
            <text className="mech-mark" x={left - 8} y={up(share * greatest) + 6} textAnchor="end">
              {(100 * share * greatest).toFixed(2)}
            </text>
          </g>
        ))}
        <text className="mech-mark" x={left - 8} y={20} textAnchor="end">
          %
        </text>
        <text className="mech-mark" x={width - 16} y={20} textAnchor="end">
          Hz, turns a second
        </text>
        <path className="mech-trace" d={points} />
        {peaks.slice(0, 6).map((peak, i) => (
          <g key={peak.hz}>
            <circle className="mech-peak" cx={across(peak.hz)} cy={up(peak.depthRatio)} r={6} />
            <text
              className="mech-peak-name"
              x={Math.min(width - 60, Math.max(left + 20, across(peak.hz)))}
              y={Math.max(18, up(peak.depthRatio) - 12)}
              textAnchor="middle"
            >
              {i + 1}
            </text>
          </g>
        ))}
      </svg>
      {spectrum.depthRatio.length > 0 && peaks.length === 0 && <p className="quiet">Nothing stands out.</p>}
      <ol className="mech-peaks">
        {peaks.slice(0, 6).map((peak) => (
          <li key={peak.hz}>
            <span className="place">{peak.hz.toFixed(2)} Hz</span>{" "}
            <span className="place">{(100 * peak.depthRatio).toFixed(3)} %</span> {causeWords(peak)}
          </li>
        ))}
      </ol>
    </figure>
  );
}

/** What may cause a peak, in words. */
export function causeWords({ causes }: TracedPeak): string {
  const [first] = causes;
  if (first === undefined) return "no part that is known turns so fast";
  const often = first.harmonic === 1 ? "" : `, ${first.harmonic} times a turn`;
  return first.isUsual ? `may be the ${first.part}, by its usual size` : `${first.part}${often}`;
}

function spokenPeaks(peaks: readonly TracedPeak[]): string {
  if (peaks.length === 0) return "Spectrum of the flutter; nothing stands out.";
  const said = peaks
    .slice(0, 3)
    .map(({ hz, depthRatio }) => `${hz.toFixed(1)} hertz ${(100 * depthRatio).toFixed(3)} per cent`);
  return `Spectrum of the flutter. The greatest peaks: ${said.join(", ")}.`;
}

/** One point a column of the picture: the greatest value within it. */
function spectrumPoints({ spectrum }: DeckReading, up: (ratio: number) => number): string {
  const columns = new Map<number, number>();
  for (const [k, depth] of spectrum.depthRatio.entries()) {
    const hz = k * spectrum.binHz;
    if (hz < lowestHz || hz > highestHz) continue;
    const column = Math.round(across(hz) / 2);
    columns.set(column, Math.max(columns.get(column) ?? 0, depth));
  }
  return [...columns]
    .map(([column, depth], i) => `${i === 0 ? "M" : "L"}${2 * column} ${up(depth).toFixed(1)}`)
    .join("");
}

/** Speed along the tape, with its dropouts under it. */
export function SpeedChart({ reading }: { readonly reading: DeckReading }): ReactNode {
  const { speedCurveRatio: curve, toneStartSeconds: start, toneEndSeconds: end, dropouts } = reading;
  const values = [...curve].map((ratio) => 100 * ratio);
  const reach = Math.max(0.1, ...values.map(Math.abs)) * 1.15;
  const middle = (height - bottom + top) / 2;
  const up = (percent: number): number => middle - ((height - bottom - top) / 2) * (percent / reach);
  const at = (seconds: number): number =>
    left + ((width - left - 16) * (seconds - start)) / Math.max(0.1, end - start);
  const step = Math.max(1, Math.ceil(values.length / 900));
  const path = values
    .filter((_, i) => i % step === 0)
    .map(
      (percent, i) =>
        `${i === 0 ? "M" : "L"}${at(start + 0.1 * step * i).toFixed(1)} ${up(percent).toFixed(1)}`,
    )
    .join("");
  return (
    <figure className="mech-chart">
      <figcaption>Speed along the tape</figcaption>
      <svg
        viewBox={`0 0 ${width} ${height}`}
        role="img"
        aria-label={`Speed error along the tape, between ${Math.min(...values).toFixed(2)} and ${Math.max(...values).toFixed(2)} per cent; ${dropouts.length} dropouts.`}
      >
        {[-reach / 1.15, 0, reach / 1.15].map((percent) => (
          <g key={percent}>
            <line className="mech-grid" x1={left} x2={width - 16} y1={up(percent)} y2={up(percent)} />
            <text className="mech-mark" x={left - 8} y={up(percent) + 6} textAnchor="end">
              {percent === 0 ? "0" : signed(percent)}
            </text>
          </g>
        ))}
        <text className="mech-mark" x={left - 8} y={20} textAnchor="end">
          %
        </text>
        <text className="mech-mark" x={left} y={height - 10}>
          {start.toFixed(0)} s
        </text>
        <text className="mech-mark" x={width - 16} y={height - 10} textAnchor="end">
          {end.toFixed(0)} s
        </text>
        <path className="mech-trace" d={path} />
        {dropouts.slice(0, 500).map(({ startSeconds }) => (
          <line
            className="mech-drop"
            key={startSeconds}
            x1={at(startSeconds)}
            x2={at(startSeconds)}
            y1={height - bottom - 14}
            y2={height - bottom}
          />
        ))}
      </svg>
    </figure>
  );
}

/** A number with its sign, for people. */
export function signed(value: number, places = 2): string {
  return `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(places)}`;
}
