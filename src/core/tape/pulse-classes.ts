/** A length that many half-waves of a recording have. */
export interface PulseClass {
  /** Middle of the class. */
  readonly microseconds: number;
  readonly count: number;
  /** Deviation of the logarithm of the lengths. */
  readonly scatter: number;
}

/** Bins of the histogram of lengths: 1 % wide each. */
const binRatio = Math.log(1.01);

/** A class holds at least this share of all half-waves, unless it stands quite alone. */
const leastShare = 0.002;

/**
 * Classes of lengths by the peaks of their histogram over the logarithm, shortest first, and the share of all lengths
 * within 12 % of the middle of one. A peak stands apart from the next if the histogram falls below a fifth of it between.
 */
export function findPulseClasses(widths: ArrayLike<number>): {
  readonly classes: PulseClass[];
  readonly inside: number;
} {
  const bins = new Float64Array(1200);
  let count = 0;
  for (let i = 0; i < widths.length; i += 1) {
    const bin = Math.round(Math.log((widths[i] ?? 0) / 10) / binRatio);
    if (bin < 0 || bin >= bins.length) continue;
    bins[bin] = (bins[bin] ?? 0) + 1;
    count += 1;
  }
  if (count === 0) return { classes: [], inside: 0 };
  const smooth = bins.map((_, i) => {
    let sum = 0;
    for (let k = -3; k <= 3; k += 1) sum += (4 - Math.abs(k)) * (bins[i + k] ?? 0);
    return sum / 16;
  });
  const peaks: number[] = [];
  for (let i = 1; i + 1 < smooth.length; i += 1) {
    const here = smooth[i] ?? 0;
    if (here < leastShare * count * 0.1 || here <= (smooth[i - 1] ?? 0) || here < (smooth[i + 1] ?? 0))
      continue;
    const last = peaks.at(-1);
    if (last === undefined || isApart(smooth, last, i)) peaks.push(i);
    else if (here > (smooth[last] ?? 0)) peaks[peaks.length - 1] = i;
  }
  const middles = peaks.map((peak) => 10 * Math.exp(peak * binRatio));
  const sums = middles.map(() => ({ count: 0, sum: 0, squares: 0 }));
  let inside = 0;
  for (let i = 0; i < widths.length; i += 1) {
    const at = middles.findIndex((middle) => Math.abs(Math.log((widths[i] ?? 0) / middle)) < 0.12);
    const group = sums[at];
    if (group === undefined) continue;
    const distance = Math.log((widths[i] ?? 0) / (middles[at] ?? 1));
    group.count += 1;
    group.sum += distance;
    group.squares += distance * distance;
    inside += 1;
  }
  const classes = sums
    .map(({ count: size, sum, squares }, i): PulseClass => {
      const mean = size === 0 ? 0 : sum / size;
      return {
        microseconds: (middles[i] ?? 0) * Math.exp(mean),
        count: size,
        scatter: size === 0 ? 0 : Math.sqrt(Math.max(0, squares / size - mean * mean)),
      };
    })
    .filter(({ count: size }) => size >= leastShare * count || size >= 8)
    .filter(({ count: size }) => size >= 2 && size >= 0.0005 * count);
  return { classes, inside: inside / widths.length };
}

function isApart(smooth: Float64Array, low: number, high: number): boolean {
  if (high - low < 14) return false;
  const valley = Math.min(...smooth.subarray(low, high + 1));
  return valley < 0.2 * Math.min(smooth[low] ?? 0, smooth[high] ?? 0);
}
