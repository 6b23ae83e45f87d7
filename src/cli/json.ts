/**
 * Text of a value as the command line prints it with `--json`: fields in a fixed order, one a line. Fractions keep six
 * significant digits, which is far below what they can mean, so that the last bits of a processor's arithmetic do not
 * show.
 */
export function renderJson(value: unknown): string {
  return `${JSON.stringify(value, (_, item: unknown) => (typeof item === "number" ? rounded(item) : item), 2)}\n`;
}

function rounded(value: number): number {
  return Number.isInteger(value) ? value : Number(value.toPrecision(6));
}
