/** What probes without error would show: for every probe and suspect one of two outcomes, packed 32 suspects to a word. */
export interface ProbeTable {
  readonly suspectCount: number;
  readonly probeCount: number;
  /** Words a probe, ceil(suspectCount / 32). */
  readonly words: number;
  /** [probes × words], row-major: bit s % 32 of word floor(s / 32) is the outcome under suspect s; spare bits are ignored. */
  readonly outcomes: Int32Array;
}

/** Packs outcomes given as `outcomes[probe][suspect]`, 0 or 1. Throws `RangeError` for any other value or a short list. */
export function packProbes(outcomes: readonly ArrayLike<number>[], suspectCount: number): ProbeTable {
  const words = Math.ceil(suspectCount / 32);
  const packed = new Int32Array(outcomes.length * words);
  outcomes.forEach((row, probe) => {
    if (row.length !== suspectCount) {
      throw new RangeError(`probe ${probe} has ${row.length} outcomes for ${suspectCount} suspects`);
    }
    for (let s = 0; s < suspectCount; s += 1) {
      const outcome = row[s] ?? 0;
      if (outcome !== 0 && outcome !== 1)
        throw new RangeError(`probe ${probe}: outcome ${outcome}, allowed are 0 and 1`);
      const at = probe * words + (s >>> 5);
      packed[at] = (packed[at] ?? 0) | (outcome << (s & 31));
    }
  });
  return { suspectCount, probeCount: outcomes.length, words, outcomes: packed };
}

/** The outcome of `probe` under `suspect`, 0 or 1. */
export function probeOutcome(table: ProbeTable, probe: number, suspect: number): number {
  return ((table.outcomes[probe * table.words + (suspect >>> 5)] ?? 0) >>> (suspect & 31)) & 1;
}

/** Distinct ways of cutting a set of suspects in two; a column and its complement count as one. */
export interface Splits {
  readonly count: number;
  /** [count]: number of the first column that cuts this way. */
  readonly column: Int32Array;
  /** [count × words], row-major: the side that does not hold the lowest suspect of the set. */
  readonly side: Int32Array;
}

/**
 * The distinct splits of the suspects in `mask` by those `columns` that split it at all, in the order of the columns.
 * `outcomes` is [any × words], row-major; `columns` are row numbers. O(columns × words).
 */
export function distinctSplits(
  outcomes: Int32Array,
  words: number,
  columns: ArrayLike<number>,
  mask: Int32Array,
): Splits {
  const column = new Int32Array(columns.length);
  const side = new Int32Array(columns.length * words);
  let sizeBits = 3;
  while (1 << sizeBits < 2 * columns.length) sizeBits += 1;
  const slots = new Int32Array(1 << sizeBits).fill(-1);
  let lowestWord = 0;
  while (lowestWord < words - 1 && mask[lowestWord] === 0) lowestWord += 1;
  const lowestBit = (mask[lowestWord] ?? 0) & -(mask[lowestWord] ?? 0);
  let count = 0;
  for (let k = 0; k < columns.length; k += 1) {
    const source = (columns[k] ?? 0) * words;
    const target = count * words;
    const flip = ((outcomes[source + lowestWord] ?? 0) & lowestBit) === 0 ? 0 : -1;
    let any = 0;
    let hash = 0;
    for (let w = 0; w < words; w += 1) {
      const bits = ((outcomes[source + w] ?? 0) ^ flip) & (mask[w] ?? 0);
      side[target + w] = bits;
      any |= bits;
      hash = Math.imul(hash ^ bits, 0x9e3779b1);
      hash ^= hash >>> 15;
    }
    if (any === 0) continue;
    let slot = Math.imul(hash, 0x85ebca6b) >>> (32 - sizeBits);
    for (;;) {
      const rival = slots[slot] ?? -1;
      if (rival < 0) {
        slots[slot] = count;
        column[count] = columns[k] ?? 0;
        count += 1;
        break;
      }
      if (sameWords(side, rival * words, target, words)) break;
      slot = (slot + 1) & (slots.length - 1);
    }
  }
  return { count, column: column.subarray(0, count), side: side.subarray(0, count * words) };
}

function sameWords(data: Int32Array, a: number, b: number, words: number): boolean {
  for (let w = 0; w < words; w += 1) if (data[a + w] !== data[b + w]) return false;
  return true;
}
