import type { SExpression, SExpressionList } from "./s-expression.js";

/** A thing's name in EDIF: the identifier by which the file refers to it, in lower case, and what it is really called. */
export interface EdifName {
  readonly id: string;
  readonly display: string;
}

/** First word of a list, in lower case: keywords of EDIF are the same in either case. Empty if it has none. */
export function keywordOf(list: SExpressionList): string {
  const [first] = list.items;
  return first?.kind === "atom" && !first.quoted ? first.text.toLowerCase() : "";
}

/** Lists directly inside that begin with `keyword`, in order. */
export function edifLists(list: SExpressionList, keyword: string): SExpressionList[] {
  return list.items.filter(
    (item): item is SExpressionList => item.kind === "list" && keywordOf(item) === keyword,
  );
}

/** The first list directly inside that begins with `keyword`. */
export function edifList(list: SExpressionList, keyword: string): SExpressionList | undefined {
  return list.items.find(
    (item): item is SExpressionList => item.kind === "list" && keywordOf(item) === keyword,
  );
}

/**
 * A name: an identifier, `(rename id "text")`, `(name id ...)`, `(array name n)` or `(member name i)`. Identifiers that
 * would begin with a digit are written with `&` before them, which is no part of the name. A member is called `name[i]`.
 */
export function edifName(node: SExpression | undefined): EdifName | undefined {
  // An array of a renamed thing is the deepest form; more is damage.
  return nameAt(node, 4);
}

function nameAt(node: SExpression | undefined, depth: number): EdifName | undefined {
  if (node === undefined || depth === 0) return undefined;
  if (node.kind === "atom")
    return node.text === "" ? undefined : { id: node.text.toLowerCase(), display: plain(node.text) };
  const [, first, second] = node.items;
  switch (keywordOf(node)) {
    case "rename": {
      const name = nameAt(first, depth - 1);
      const display = stringOf(second);
      return name === undefined ? undefined : { id: name.id, display: display ?? name.display };
    }
    case "name":
    case "array":
      return nameAt(first, depth - 1);
    case "member": {
      const name = nameAt(first, depth - 1);
      const index = second?.kind === "atom" ? second.text : "?";
      return name === undefined
        ? undefined
        : { id: `${name.id}[${index}]`, display: `${name.display}[${index}]` };
    }
    default:
      return undefined;
  }
}

/** A text: quoted, `(string "...")`, `(stringDisplay "..." ...)` or a bare word; undefined if empty or none of these. */
export function stringOf(node: SExpression | undefined): string | undefined {
  const inner = node?.kind === "list" ? node.items[1] : node;
  if (inner?.kind !== "atom") return undefined;
  const text = inner.quoted ? decoded(inner.text) : plain(inner.text);
  return text === "" ? undefined : text;
}

/** `%34 35%` in a string stands for characters by their numbers; line ends inside a string are none of it. */
function decoded(text: string): string {
  return text
    .replace(/[\r\n]+/g, "")
    .replace(/%([0-9 ]{1,200})%/g, (_, numbers: string) =>
      numbers
        .split(" ")
        .map((number) => (number === "" || Number(number) > 255 ? "" : String.fromCharCode(Number(number))))
        .join(""),
    )
    .trim();
}

function plain(identifier: string): string {
  return identifier.startsWith("&") ? identifier.slice(1) : identifier;
}
