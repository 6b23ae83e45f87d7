import { distinctSplits, type ProbeTable } from "../../src/core/inference/probe-table.js";

/** Sets looked at before the question is left open. */
const stateLimit = 1_000_000;

/**
 * Whether some plan singles out every suspect with at most `probes` probes, by searching all plans: the worst case that
 * cannot be avoided, whatever the mean. Undefined if there are too many sets to look at.
 */
export function canEndWithin(table: ProbeTable, probes: number): boolean | undefined {
  const { suspectCount, probeCount, words, outcomes } = table;
  const known = new Map<string, boolean>();
  const visit = (mask: Int32Array, size: number, left: number, columns: ArrayLike<number>): boolean => {
    if (size <= 1) return true;
    if (size > 2 ** left) return false;
    const key = `${left} ${mask.join(" ")}`;
    const before = known.get(key);
    if (before !== undefined) return before;
    if (known.size >= stateLimit) throw new RangeError("too many sets");
    const splits = distinctSplits(outcomes, words, columns, mask);
    let possible = false;
    for (let k = 0; k < splits.count && !possible; k += 1) {
      const side = splits.side.slice(k * words, (k + 1) * words);
      const rest = mask.map((word, w) => word & ~(side[w] ?? 0));
      const part = countSuspects(side);
      const parts: [Int32Array, number][] = [
        [side, part],
        [rest, size - part],
      ];
      // The larger part first: it is the one more likely to fail.
      parts.sort((a, b) => b[1] - a[1]);
      possible = parts.every(([set, count]) => visit(set, count, left - 1, splits.column));
    }
    known.set(key, possible);
    return possible;
  };
  const all = new Int32Array(words);
  for (let s = 0; s < suspectCount; s += 1) all[s >>> 5] = (all[s >>> 5] ?? 0) | (1 << (s & 31));
  try {
    return visit(
      all,
      suspectCount,
      probes,
      Int32Array.from({ length: probeCount }, (_, k) => k),
    );
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

function countSuspects(mask: Int32Array): number {
  let count = 0;
  for (const word of mask) for (let rest = word; rest !== 0; rest &= rest - 1) count += 1;
  return count;
}
