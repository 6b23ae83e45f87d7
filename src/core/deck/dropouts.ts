import { decibelOf, medianOf } from "./statistics.js";

/** A short loss of level. */
export interface Dropout {
  /** From the beginning of what was examined. */
  readonly startSeconds: number;
  readonly durationSeconds: number;
  /** Deepest level against the level around it; negative. */
  readonly depthDecibel: number;
}

/** Level below that of the surroundings from which a loss counts. Common practice, no source. */
export const dropoutDecibel = -6;
/** Losses shorter than this are not counted. Common practice, no source. */
export const dropoutLeastSeconds = 0.001;

/**
 * Losses of level in the amplitude of a steady tone at `rateHz`, against the median of the second around them, so that a
 * level that drifts slowly is no loss. O(n).
 */
export function findDropouts(amplitude: Float32Array, rateHz: number): Dropout[] {
  const usual = usualLevel(amplitude, rateHz);
  const limit = 10 ** (dropoutDecibel / 20);
  const found: Dropout[] = [];
  for (let i = 0; i < amplitude.length; i += 1) {
    if (relative(i) >= limit) continue;
    const start = i;
    let lowest = relative(i);
    while (i + 1 < amplitude.length && relative(i + 1) < limit) {
      i += 1;
      lowest = Math.min(lowest, relative(i));
    }
    // The edges lie between two values.
    const before = edge(relative(start - 1), relative(start), limit);
    const after = edge(relative(i + 1), relative(i), limit);
    const durationSeconds = (i - start + before + after) / rateHz;
    if (durationSeconds < dropoutLeastSeconds) continue;
    found.push({ startSeconds: (start - before) / rateHz, durationSeconds, depthDecibel: decibelOf(lowest) });
  }
  return found;

  function relative(at: number): number {
    const level = usual(at);
    return level > 0 && at >= 0 && at < amplitude.length ? (amplitude[at] ?? 0) / level : 1;
  }
}

/** How far the limit lies from the value `inside` on the way to `outside`, 0 to 1. */
function edge(outside: number, inside: number, limit: number): number {
  return outside > inside ? Math.max(0, Math.min(1, (limit - inside) / (outside - inside))) : 0;
}

const cellSeconds = 0.1;
const cellsAround = 5;

/** The level around a place: the median of the medians of tenths of a second within half a second of it. */
function usualLevel(amplitude: Float32Array, rateHz: number): (at: number) => number {
  const length = Math.max(1, Math.round(cellSeconds * rateHz));
  const count = Math.max(1, Math.ceil(amplitude.length / length));
  const cells = Array.from({ length: count }, (_, cell) =>
    medianOf(amplitude.subarray(cell * length, (cell + 1) * length)),
  );
  const smooth = cells.map((_, cell) =>
    medianOf(cells.slice(Math.max(0, cell - cellsAround), cell + cellsAround + 1)),
  );
  // A loss that is longer than its surroundings would otherwise become the usual level itself.
  const loudest = cells.reduce((most, cell) => Math.max(most, cell), 0);
  const loud = cells.filter((cell) => cell > 0.1 * loudest);
  const least = 0.25 * medianOf(loud);
  return (at) => Math.max(least, smooth[Math.max(0, Math.min(count - 1, Math.floor(at / length)))] ?? 0);
}
