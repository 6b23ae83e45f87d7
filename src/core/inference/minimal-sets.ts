/** Limits of the search for minimal hitting sets. */
export interface HittingSetOptions {
  /** Only sets with at most this many elements are wanted. Default: no limit. */
  readonly maximumSize?: number;
  /** Partial sets kept while working; beyond it the largest are dropped and the result is incomplete. Default 20 000. */
  readonly maximumPartialSets?: number;
}

/** Minimal hitting sets, each ascending; smaller sets first, equal sizes in lexical order. */
export interface HittingSets {
  readonly sets: readonly (readonly number[])[];
  /** True if every minimal hitting set up to the wanted size is listed. All listed sets are minimal either way. */
  readonly complete: boolean;
}

/**
 * Minimal hitting sets of a collection of conflicts: with conflicts as sets of components that cannot all be healthy,
 * these are the minimal diagnoses (Reiter 1987, theorem 4.4). Conflicts are taken one at a time, smallest first; each
 * set that misses the conflict is extended by each of its elements and what is not minimal is dropped (Berge's
 * multiplication), which gives the same sets as Reiter's tree. The number of partial sets can grow exponentially, hence
 * the bound. No conflicts give the empty set; an empty conflict cannot be hit and gives no set.
 */
export function minimalHittingSets(
  conflicts: readonly (readonly number[])[],
  options: HittingSetOptions = {},
): HittingSets {
  const maximumSize = options.maximumSize ?? Number.POSITIVE_INFINITY;
  const maximumPartialSets = options.maximumPartialSets ?? 20_000;
  const ordered = conflicts
    .map((conflict) => [...new Set(conflict)].sort((a, b) => a - b))
    .sort((a, b) => a.length - b.length);
  let partial: number[][] = [[]];
  let complete = true;
  for (const conflict of ordered) {
    partial = extend(partial, conflict, maximumSize);
    if (partial.length > maximumPartialSets) {
      partial = partial.sort(compareSets).slice(0, maximumPartialSets);
      complete = false;
    }
  }
  const sets = (complete ? partial : partial.filter((set) => isMinimal(set, ordered))).sort(compareSets);
  return { sets, complete };
}

function extend(partial: readonly number[][], conflict: readonly number[], maximumSize: number): number[][] {
  const inConflict = new Set(conflict);
  const hitting = partial.filter((set) => set.some((element) => inConflict.has(element)));
  const missing = partial.filter((set) => !set.some((element) => inConflict.has(element)));
  const result = [...hitting];
  for (const set of missing) {
    if (set.length >= maximumSize) continue;
    for (const element of conflict) {
      const extended = [...set, element].sort((a, b) => a - b);
      // Only a set that hits the conflict already can be contained in the extension: two extensions of different
      // minimal sets contain each other only if equal, and they differ outside the new element.
      if (!hitting.some((other) => isSubset(other, extended))) result.push(extended);
    }
  }
  return result;
}

/** Both ascending. */
function isSubset(small: readonly number[], large: readonly number[]): boolean {
  let position = 0;
  for (const element of small) {
    while (position < large.length && (large[position] ?? 0) < element) position += 1;
    if (large[position] !== element) return false;
    position += 1;
  }
  return true;
}

/** Every element must be the only one that hits some conflict. */
function isMinimal(set: readonly number[], conflicts: readonly (readonly number[])[]): boolean {
  return set.every((element) =>
    conflicts.some(
      (conflict) =>
        conflict.includes(element) && !set.some((other) => other !== element && conflict.includes(other)),
    ),
  );
}

function compareSets(a: readonly number[], b: readonly number[]): number {
  if (a.length !== b.length) return a.length - b.length;
  for (let i = 0; i < a.length; i += 1) {
    const difference = (a[i] ?? 0) - (b[i] ?? 0);
    if (difference !== 0) return difference;
  }
  return 0;
}
