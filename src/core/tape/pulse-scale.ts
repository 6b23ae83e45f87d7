/** Crossings of which one speed is worked out. */
const windowCrossings = 96;

/** What is known of the pulses of a scheme. */
export interface PulseLengths {
  /** Lengths at nominal speed, in samples. */
  readonly samples: readonly number[];
  readonly crossings: 1 | 2;
  readonly leaderLength: number;
}

/**
 * For every crossing of a run: by how much pulses are longer than at nominal speed. Windows of some hundred crossings are
 * each laid against the lengths of the scheme; the first may be off by as much as a tape can be, each later one by little
 * from the one before.
 */
export function speedScales(
  positions: Float64Array,
  lengths: PulseLengths,
  reachRatio: number,
): Float32Array {
  const { crossings } = lengths;
  const scales = new Float32Array(positions.length).fill(1);
  let scale: number | undefined;
  const half = windowCrossings / 2;
  for (let start = 0; start < positions.length; start += half) {
    const from = Math.max(0, Math.min(start - half / 2, positions.length - 1 - windowCrossings));
    const widths: number[] = [];
    for (let i = from; i < from + windowCrossings && i + crossings < positions.length; i += 1) {
      widths.push((positions[i + crossings] ?? 0) - (positions[i] ?? 0));
    }
    const found: number =
      scale === undefined
        ? firstScale(widths, lengths, reachRatio)
        : bestScale(widths, lengths.samples, scale / 1.03, scale * 1.03);
    scale = Math.max(1 / (1 + reachRatio), Math.min(1 / (1 - reachRatio), found));
    scales.fill(scale, start, Math.min(positions.length, start + half));
  }
  return scales;
}

/** By the leader where the run begins with one, else by all lengths. */
function firstScale(widths: readonly number[], lengths: PulseLengths, reachRatio: number): number {
  const sorted = [...widths].sort((a, b) => a - b);
  const low = sorted[Math.floor(0.1 * sorted.length)] ?? 0;
  const high = sorted[Math.floor(0.9 * sorted.length)] ?? 0;
  const leader = lengths.samples[lengths.leaderLength] ?? 1;
  const byLeader = (sorted[sorted.length >> 1] ?? leader) / leader;
  const isSteady = high < 1.25 * low;
  const slowest = 1 / (1 - reachRatio);
  if (isSteady && byLeader < 1.05 * slowest && byLeader > 0.95 / (1 + reachRatio)) return byLeader;
  return bestScale(widths, lengths.samples, 1 / (1 + reachRatio), slowest);
}

/** The scale, in steps of half a percent and then finer, at which widths lie closest to the lengths. */
function bestScale(
  widths: readonly number[],
  samples: readonly number[],
  lowest: number,
  highest: number,
): number {
  let best = 1;
  let bestCost = Number.POSITIVE_INFINITY;
  const steps = Math.max(1, Math.round(Math.log(highest / lowest) / 0.005));
  for (let step = 0; step <= steps; step += 1) {
    const scale = lowest * (highest / lowest) ** (step / steps);
    let cost = 0;
    for (const width of widths) cost += Math.min(0.15, nearest(width, samples, scale));
    if (cost < bestCost) {
      bestCost = cost;
      best = scale;
    }
  }
  // Half the difference of the logarithms of the widths to their lengths is what is left.
  let sum = 0;
  let count = 0;
  for (const width of widths) {
    const distance = signedNearest(width, samples, best);
    if (Math.abs(distance) > 0.12) continue;
    sum += distance;
    count += 1;
  }
  return count < 4 ? best : best * Math.exp(sum / count);
}

function nearest(width: number, samples: readonly number[], scale: number): number {
  return Math.abs(signedNearest(width, samples, scale));
}

function signedNearest(width: number, samples: readonly number[], scale: number): number {
  let best = 9;
  for (const length of samples) {
    const distance = Math.log(Math.max(1e-9, width) / (length * scale));
    if (Math.abs(distance) < Math.abs(best)) best = distance;
  }
  return best;
}
