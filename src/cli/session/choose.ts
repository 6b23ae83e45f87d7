/** What somebody chose from a numbered list. */
export type Choice =
  | { readonly kind: "chosen"; readonly positions: readonly number[] }
  | { readonly kind: "unclear"; readonly message: string };

/** Reads numbers separated by blanks or commas, from 1 to `count`; nothing typed is an empty choice. */
export function readNumbers(line: string, count: number): Choice {
  const words = line.split(/[\s,]+/).filter((word) => word !== "");
  const positions: number[] = [];
  for (const word of words) {
    const number = Number(word);
    if (!Number.isInteger(number) || number < 1 || number > count)
      return { kind: "unclear", message: `'${word}' is not on the list; numbers go from 1 to ${count}.` };
    if (!positions.includes(number - 1)) positions.push(number - 1);
  }
  return { kind: "chosen", positions };
}
