/** Rows sorted into groups of equals. Groups are numbered in order of their first row. */
export interface Grouping {
  /** [rows]: the group of each row. */
  readonly groupOf: Int32Array;
  readonly groupCount: number;
  /** [groups]: the first row of each group. */
  readonly firstRow: Int32Array;
}

/**
 * Groups the hypotheses whose rows of predicted codes are equal, so that no observable of the table tells them apart.
 * `codes` is [hypotheses × observables], row-major. Hashing first, then exact comparison: a clash of hashes never
 * merges different rows. O(size of the table).
 */
export function groupEqualRows(
  codes: Uint8Array,
  hypothesisCount: number,
  observableCount: number,
): Grouping {
  if (codes.length !== hypothesisCount * observableCount) {
    throw new RangeError(`table has ${codes.length} codes, expected ${hypothesisCount} x ${observableCount}`);
  }
  const hashes = new Int32Array(hypothesisCount);
  for (let h = 0; h < hypothesisCount; h += 1) {
    let hash = 0;
    for (let k = 0; k < observableCount; k += 1) hash = mix(hash, codes[h * observableCount + k] ?? 0);
    hashes[h] = hash;
  }
  return groupHashed(hashes, (a, b) => {
    for (let k = 0; k < observableCount; k += 1) {
      if (codes[a * observableCount + k] !== codes[b * observableCount + k]) return false;
    }
    return true;
  });
}

/**
 * The same for a table kept column by column: `columns` [observables], each with one code a hypothesis.
 * Only the hypotheses in `rows` take part; the result numbers them by their position in `rows`.
 */
export function groupEqualColumns(columns: readonly ArrayLike<number>[], rows: Int32Array): Grouping {
  const hashes = new Int32Array(rows.length);
  for (const column of columns) {
    for (let i = 0; i < rows.length; i += 1) hashes[i] = mix(hashes[i] ?? 0, column[rows[i] ?? 0] ?? 0);
  }
  return groupHashed(hashes, (a, b) => {
    const rowA = rows[a] ?? 0;
    const rowB = rows[b] ?? 0;
    return columns.every((column) => column[rowA] === column[rowB]);
  });
}

/** Multiply-and-xorshift step; any mixing would do, since equality is checked afterwards. */
function mix(hash: number, value: number): number {
  const product = Math.imul(hash ^ value, 0x9e3779b1);
  return (product ^ (product >>> 15)) + value + 1;
}

function groupHashed(hashes: Int32Array, equal: (a: number, b: number) => boolean): Grouping {
  const groupOf = new Int32Array(hashes.length);
  const firstRow: number[] = [];
  const groupsByHash = new Map<number, number[]>();
  for (let row = 0; row < hashes.length; row += 1) {
    const hash = hashes[row] ?? 0;
    const rivals = groupsByHash.get(hash) ?? [];
    let group = rivals.find((candidate) => equal(firstRow[candidate] ?? 0, row));
    if (group === undefined) {
      group = firstRow.length;
      firstRow.push(row);
      rivals.push(group);
      groupsByHash.set(hash, rivals);
    }
    groupOf[row] = group;
  }
  return { groupOf, groupCount: firstRow.length, firstRow: Int32Array.from(firstRow) };
}
