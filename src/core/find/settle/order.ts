/** Items of a fixed number of groups, flattened: group g holds `items[start[g]]` to `items[start[g + 1] - 1]`. */
export interface Groups {
  readonly start: Int32Array;
  readonly items: Int32Array;
}

/** Flattens lists. */
export function flatten(lists: readonly Iterable<number>[]): Groups {
  const start = new Int32Array(lists.length + 1);
  const items: number[] = [];
  for (const [g, list] of lists.entries()) {
    items.push(...list);
    start[g + 1] = items.length;
  }
  return { start, items: Int32Array.from(items) };
}

/**
 * Order in which to evaluate things that feed each other: whatever feeds a thing comes before it, except where they
 * run in a circle (reverse postorder of a depth-first walk, which starts from things nothing feeds).
 * @param feeds for each thing those it feeds
 */
export function orderFromInputs(feeds: readonly (readonly number[])[]): number[] {
  const fed = new Uint8Array(feeds.length);
  for (const list of feeds) for (const next of list) fed[next] = 1;
  const all = [...feeds.keys()];
  const starts = [...all.filter((i) => !fed[i]), ...all];
  const seen = new Uint8Array(feeds.length);
  const finished: number[] = [];
  for (const first of starts) {
    if (seen[first]) continue;
    seen[first] = 1;
    const path = [{ at: first, next: 0 }];
    for (let top = path.at(-1); top !== undefined; top = path.at(-1)) {
      const next = feeds[top.at]?.[top.next];
      if (next === undefined) {
        finished.push(top.at);
        path.pop();
        continue;
      }
      top.next += 1;
      if (seen[next]) continue;
      seen[next] = 1;
      path.push({ at: next, next: 0 });
    }
  }
  return finished.reverse();
}
