import { groupEqualRows } from "./grouping.js";
import { createProbeSearch, type ProbeSearchLimits } from "./probe-search.js";
import { distinctSplits, type ProbeTable, probeOutcome } from "./probe-table.js";

/** A probe worth making now. */
export interface ProbeChoice {
  readonly probe: number;
  /** Expected number of probes, this one included, of the plan that begins with it. */
  readonly expectedProbes: number;
  /** Most probes that this plan needs, this one included. */
  readonly worstProbes: number;
  /** No plan needs fewer on average. */
  readonly lowerBound: number;
  /** True if the plan reaches the bound: no probe begins a better one. False says only that this is not known. */
  readonly optimal: boolean;
}

/** Defaults of the search: what a bench step of a few milliseconds affords. */
export const probeSearchLimits: ProbeSearchLimits = { exactSize: 10, beam: 4, openLimit: 300 };

/**
 * The next of several equally dear, error-free probes: begins a plan that singles out the true suspect with as few
 * probes as possible on average. `weights` [suspects] need not sum to 1; suspects with weight 0 are out. Suspects that no
 * probe tells apart count as one. Undefined when no probe tells the suspects left apart. Throws `RangeError` for
 * weights that do not fit the table or are negative or not finite.
 */
export function chooseProbe(
  weights: ArrayLike<number>,
  table: ProbeTable,
  limits: ProbeSearchLimits = probeSearchLimits,
): ProbeChoice | undefined {
  const { suspectCount, probeCount, words } = table;
  if (weights.length !== suspectCount) {
    throw new RangeError(`${weights.length} weights for ${suspectCount} suspects`);
  }
  const mask = new Int32Array(words);
  for (let s = 0; s < suspectCount; s += 1) {
    const weight = weights[s] ?? 0;
    if (!(weight >= 0 && weight < Number.POSITIVE_INFINITY)) throw new RangeError(`weight ${s} is ${weight}`);
    if (weight > 0) mask[s >>> 5] = (mask[s >>> 5] ?? 0) | (1 << (s & 31));
  }
  const all = Int32Array.from({ length: probeCount }, (_, probe) => probe);
  const probes = distinctSplits(table.outcomes, words, all, mask).column;
  if (probes.length === 0) return undefined;
  const groups = groupSuspects(weights, table, probes);
  const compactWords = Math.ceil(groups.weights.length / 32);
  const outcomes = new Int32Array(probes.length * compactWords);
  groups.suspects.forEach((suspect, group) => {
    for (let k = 0; k < probes.length; k += 1) {
      const at = k * compactWords + (group >>> 5);
      outcomes[at] = (outcomes[at] ?? 0) | (probeOutcome(table, probes[k] ?? 0, suspect) << (group & 31));
    }
  });
  const problem = { weights: groups.weights, words: compactWords, outcomes, columnCount: probes.length };
  const plan = createProbeSearch(problem, limits).solve();
  return {
    probe: probes[plan.column] ?? 0,
    expectedProbes: plan.upper / plan.mass,
    worstProbes: plan.worst,
    lowerBound: plan.lower / plan.mass,
    optimal: plan.upper <= plan.lower * (1 + 1e-9),
  };
}

interface SuspectGroups {
  /** [groups]: one suspect of each group. */
  readonly suspects: readonly number[];
  /** [groups]: summed weights. */
  readonly weights: Float64Array;
}

/** Groups the live suspects that all `probes` show alike. */
function groupSuspects(weights: ArrayLike<number>, table: ProbeTable, probes: Int32Array): SuspectGroups {
  const live: number[] = [];
  for (let s = 0; s < weights.length; s += 1) if ((weights[s] ?? 0) > 0) live.push(s);
  const codes = new Uint8Array(live.length * probes.length);
  live.forEach((suspect, i) => {
    for (let k = 0; k < probes.length; k += 1) {
      codes[i * probes.length + k] = probeOutcome(table, probes[k] ?? 0, suspect);
    }
  });
  const { groupOf, groupCount, firstRow } = groupEqualRows(codes, live.length, probes.length);
  const sums = new Float64Array(groupCount);
  live.forEach((suspect, i) => {
    const group = groupOf[i] ?? 0;
    sums[group] = (sums[group] ?? 0) + (weights[suspect] ?? 0);
  });
  return { suspects: Array.from(firstRow, (row) => live[row] ?? 0), weights: sums };
}
