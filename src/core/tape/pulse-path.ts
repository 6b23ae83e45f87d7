import type { PulseAutomaton, PulseEdge } from "./pulse-automaton.js";

/** A pulse on the likeliest path. */
export interface FoundPulse {
  readonly edge: PulseEdge;
  /** Index of the crossings that it begins and ends with. */
  readonly from: number;
  readonly to: number;
  /** Cost of its length, and whether a crossing too many or too few had to be assumed. */
  readonly cost: number;
  readonly isPatched: boolean;
}

/** Costs of what should not happen. */
const extraCrossings = 9;
const lostStep = 11;
/** No single pulse speaks louder than this. */
const mostCost = 12;

/** Cost of a width for a length, both in samples: squared distance of the logarithms over the usual scatter. */
export function widthCost(width: number, length: number, scatter: number): number {
  const distance = Math.log(Math.max(1e-6, width) / length) / scatter;
  return Math.min(mostCost, 0.5 * distance * distance);
}

/**
 * The likeliest way through the pulses that a scheme allows, for the crossings of one run. A pulse may hold two crossings
 * too many (a spike), and a stretch of one crossing may fit nothing; both cost. Viterbi's algorithm, stretch by stretch
 * so that long runs need little memory.
 */
export function findPulses(
  positions: Float64Array,
  scales: Float32Array,
  automaton: PulseAutomaton,
  options: { readonly samplesPerSecond: number; readonly scatter: number },
): FoundPulse[] {
  const stretch = 6000;
  const overlap = 600;
  const pulses: FoundPulse[] = [];
  let start = 0;
  let node: number | undefined;
  while (start < positions.length - 1) {
    const end = Math.min(positions.length - 1, start + stretch + overlap);
    const isLast = end === positions.length - 1;
    const found = solve({ positions, scales, automaton, start, end, node, ...options });
    const kept = isLast ? found : found.filter(({ to }) => to <= start + stretch);
    for (const pulse of kept) pulses.push(pulse);
    const last = kept.at(-1);
    if (isLast || last === undefined) break;
    start = last.to;
    node = last.edge.to;
  }
  return pulses;
}

interface Stretch {
  readonly positions: Float64Array;
  readonly scales: Float32Array;
  readonly automaton: PulseAutomaton;
  readonly start: number;
  readonly end: number;
  readonly node: number | undefined;
  readonly samplesPerSecond: number;
  readonly scatter: number;
}

function solve(given: Stretch): FoundPulse[] {
  const { positions, scales, automaton, start, end, node, samplesPerSecond, scatter } = given;
  const { nodes, edges, crossings, seconds } = automaton;
  const size = end - start + 1;
  const scores = new Float64Array(size * nodes).fill(Number.NEGATIVE_INFINITY);
  // Edge that was taken to a place, plus one, and crossings that it took; 255 for a stretch that fits nothing.
  const ways = new Uint16Array(size * nodes);
  const taken = new Uint8Array(size * nodes);
  if (node === undefined) {
    // A run may begin anywhere; in the leader is likeliest.
    scores.fill(-6, 0, nodes);
    scores[automaton.start] = 0;
  } else scores[node] = 0;
  const costs = new Float64Array(seconds.length * 2);
  for (let i = 0; i < size - 1; i += 1) {
    const here = positions[start + i] ?? 0;
    const scale = (scales[start + i] ?? 1) * samplesPerSecond;
    for (const [variant, wide] of [crossings, crossings + 2].entries()) {
      const width = (positions[start + i + wide] ?? Number.POSITIVE_INFINITY) - here;
      for (let k = 0; k < seconds.length; k += 1) {
        costs[2 * k + variant] =
          i + wide < size ? widthCost(width, (seconds[k] ?? 1) * scale, scatter) : Number.POSITIVE_INFINITY;
      }
    }
    for (let e = 0; e < edges.length; e += 1) {
      const edge = edges[e];
      if (edge === undefined) continue;
      const score = (scores[i * nodes + edge.from] ?? Number.NEGATIVE_INFINITY) + edge.prior;
      if (score === Number.NEGATIVE_INFINITY) continue;
      for (let variant = 0; variant < 2; variant += 1) {
        const wide = crossings + 2 * variant;
        if (i + wide >= size) continue;
        const total = score - (costs[2 * edge.length + variant] ?? 0) - variant * extraCrossings;
        const at = (i + wide) * nodes + edge.to;
        if (total > (scores[at] ?? 0)) {
          scores[at] = total;
          ways[at] = e + 1;
          taken[at] = wide;
        }
      }
    }
    // A crossing that fits nothing: pass it over and stay where we are.
    for (let n = 0; n < nodes; n += 1) {
      const total = (scores[i * nodes + n] ?? 0) - lostStep;
      const at = (i + 1) * nodes + n;
      if (total > (scores[at] ?? 0)) {
        scores[at] = total;
        ways[at] = 0;
        taken[at] = 255;
      }
    }
  }
  return traceBack(given, { scores, ways, taken, size });
}

function traceBack(
  { positions, scales, automaton, start, samplesPerSecond, scatter }: Stretch,
  found: { scores: Float64Array; ways: Uint16Array; taken: Uint8Array; size: number },
): FoundPulse[] {
  const { nodes, edges, crossings, seconds } = automaton;
  const { scores, ways, taken, size } = found;
  // The run may end with half a pulse: the last place that anything led to counts.
  let best = Number.NEGATIVE_INFINITY;
  let i = size - 1;
  let node = 0;
  for (let n = 0; n < nodes; n += 1) {
    const score = scores[(size - 1) * nodes + n] ?? Number.NEGATIVE_INFINITY;
    if (score > best) {
      best = score;
      node = n;
    }
  }
  const pulses: FoundPulse[] = [];
  let lost = false;
  while (i > 0) {
    const at = i * nodes + node;
    const wide = taken[at] ?? 0;
    if (wide === 0) break;
    if (wide === 255) {
      i -= 1;
      lost = true;
      continue;
    }
    const edge = edges[(ways[at] ?? 1) - 1];
    if (edge === undefined) break;
    const from = i - wide;
    const width = (positions[start + i] ?? 0) - (positions[start + from] ?? 0);
    const length = (seconds[edge.length] ?? 1) * (scales[start + from] ?? 1) * samplesPerSecond;
    const isPatched = lost || wide !== crossings;
    pulses.push({
      edge,
      from: start + from,
      to: start + i,
      cost: widthCost(width, length, scatter),
      isPatched,
    });
    lost = false;
    i = from;
    node = edge.from;
  }
  return pulses.reverse();
}
