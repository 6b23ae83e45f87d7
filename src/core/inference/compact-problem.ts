import { groupEqualColumns } from "./grouping.js";
import { rowEntropiesBits } from "./information.js";
import type { PlannerInput, PlannerOptions, PlannerTest } from "./planner-input.js";
import type { RepairClass } from "./shared-repair-cost.js";

/**
 * The planner's input cut down to what matters: unlikely hypotheses left out, hypotheses merged that no test and no
 * consequence tells apart, and every hypothesis given the class of its consequences (which repairs end it, or its group).
 */
export interface CompactProblem {
  /** Merged hypotheses. */
  readonly count: number;
  /** [count], sums to 1. */
  readonly weights: Float64Array;
  /** [count]: class of each. */
  readonly classOf: Int32Array;
  /** [count]: hypotheses with equal numbers predict the same in every test, and differ in class only. */
  readonly rowOf: Int32Array;
  /** Consequences of each class; for the goal "isolate" the classes are groups and nothing is listed. */
  readonly classes: RepairClass[];
  /** [tests × count], row-major, count fastest: the code that each hypothesis predicts. */
  readonly codes: Uint8Array;
  readonly tests: readonly PlannerTest[];
  /** Per test: entropy in bits of its likelihood rows. */
  readonly rowEntropies: readonly Float64Array[];
  /** Weight of the hypotheses left out. */
  readonly neglectedWeight: number;
}

/** Builds the compact problem; O(hypotheses × tests). */
export function compactProblem(input: PlannerInput, options: PlannerOptions): CompactProblem {
  const kept = likelyHypotheses(input.weights, options.neglectedWeight ?? 0.001);
  const { classOf, classes } =
    options.goal === "isolate" ? groupClasses(input, options, kept) : repairClasses(input);
  const columns = input.tests.map((test) => test.observable.codes);
  const rows = groupEqualColumns(columns, kept);
  const keptClasses = Int32Array.from(kept, (h) => classOf[h] ?? 0);
  const { groupOf, groupCount, firstRow } = groupEqualColumns(
    [rows.groupOf, keptClasses],
    Int32Array.from(kept.keys()),
  );
  const weights = new Float64Array(groupCount);
  let mass = 0;
  for (let i = 0; i < kept.length; i += 1) {
    const weight = input.weights[kept[i] ?? 0] ?? 0;
    const group = groupOf[i] ?? 0;
    weights[group] = (weights[group] ?? 0) + weight;
    mass += weight;
  }
  for (let i = 0; i < groupCount; i += 1) weights[i] = (weights[i] ?? 0) / mass;
  const codes = new Uint8Array(input.tests.length * groupCount);
  columns.forEach((column, t) => {
    for (let i = 0; i < groupCount; i += 1)
      codes[t * groupCount + i] = column[kept[firstRow[i] ?? 0] ?? 0] ?? 0;
  });
  return {
    count: groupCount,
    weights,
    classOf: Int32Array.from(firstRow, (row) => classOf[kept[row] ?? 0] ?? 0),
    rowOf: Int32Array.from(firstRow, (row) => rows.groupOf[row] ?? 0),
    classes,
    codes,
    tests: input.tests,
    rowEntropies: input.tests.map((test) => rowEntropiesBits(test.observable)),
    neglectedWeight: Math.max(0, 1 - mass),
  };
}

/** Indices of the hypotheses to keep, ascending; what is left out weighs at most `neglected`. */
function likelyHypotheses(weights: Float64Array, neglected: number): Int32Array {
  const order = Int32Array.from(weights.keys()).sort((a, b) => (weights[a] ?? 0) - (weights[b] ?? 0));
  let dropped = 0;
  let first = 0;
  while (first < order.length - 1) {
    dropped += weights[order[first] ?? 0] ?? 0;
    if (dropped > neglected) break;
    first += 1;
  }
  return order.slice(first).sort();
}

interface Classes {
  /** [hypotheses] */
  readonly classOf: Int32Array;
  readonly classes: RepairClass[];
}

function repairClasses(input: PlannerInput): Classes {
  const lists: number[][] = Array.from(input.weights, () => []);
  input.repairs.forEach((repair, r) => {
    if (repair.fixes === "everything") return;
    for (const h of repair.fixes) lists[h]?.push(r);
  });
  const ids = new Map<string, number>();
  const classes: RepairClass[] = [];
  const classOf = Int32Array.from(lists, (repairs, h) => {
    const needed = input.repairsNeeded?.[h] ?? 1;
    const key = `${needed}:${repairs.join(",")}`;
    const known = ids.get(key);
    if (known !== undefined) return known;
    ids.set(key, classes.length);
    classes.push({ repairs, needed });
    return classes.length - 1;
  });
  return { classOf, classes };
}

function groupClasses(input: PlannerInput, options: PlannerOptions, kept: Int32Array): Classes {
  const groupOf = new Int32Array(input.weights.length);
  if (options.groups !== undefined) {
    const ids = new Map<number, number>();
    options.groups.forEach((group, h) => {
      const id = ids.get(group) ?? ids.size;
      ids.set(group, id);
      groupOf[h] = id;
    });
    return { classOf: groupOf, classes: noConsequences(ids.size) };
  }
  const rows = groupEqualColumns(
    input.tests.map((test) => test.observable.codes),
    kept,
  );
  kept.forEach((h, i) => {
    groupOf[h] = rows.groupOf[i] ?? 0;
  });
  return { classOf: groupOf, classes: noConsequences(rows.groupCount) };
}

function noConsequences(count: number): RepairClass[] {
  return Array.from({ length: count }, () => ({ repairs: [], needed: 1 }));
}
