import type { SExpressionList } from "./s-expression.js";

/** The list's first item if it is a word, which names what the list is; undefined otherwise. */
export function listName(list: SExpressionList): string | undefined {
  const first = list.items[0];
  return first?.kind === "atom" ? first.text : undefined;
}

/** All lists directly inside `list` that are called `name`, in order. */
export function listsNamed(list: SExpressionList, name: string): SExpressionList[] {
  const found: SExpressionList[] = [];
  for (const item of list.items) {
    if (item.kind === "list" && listName(item) === name) found.push(item);
  }
  return found;
}

/** The `x` of the first `(name x)` directly inside `list`; undefined if there is none or `x` is a list. */
export function textNamed(list: SExpressionList, name: string): string | undefined {
  for (const item of list.items) {
    if (item.kind !== "list" || listName(item) !== name) continue;
    const second = item.items[1];
    return second?.kind === "atom" ? second.text : undefined;
  }
  return undefined;
}
