/** Attribute values of an SVG element; undefined ones are left out. */
export type SvgAttributes = Readonly<Record<string, string | number | undefined>>;

/** An SVG element as text. Numbers are rounded to hundredths, texts escaped; `content` is markup and is not. */
export function element(name: string, attributes: SvgAttributes, content?: string): string {
  const written = Object.entries(attributes)
    .flatMap(([key, value]) => (value === undefined ? [] : [` ${key}="${escapeText(valueText(value))}"`]))
    .join("");
  return content === undefined ? `<${name}${written}/>` : `<${name}${written}>${content}</${name}>`;
}

/** Text as it may stand between tags or inside a quoted attribute. */
export function escapeText(text: string): string {
  return text
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;");
}

/** A path along `points`, closed if `closed`. */
export function pathData(points: readonly (readonly [number, number])[], closed: "open" | "closed"): string {
  const steps = points.map(([x, y], i) => `${i === 0 ? "M" : "L"}${valueText(x)} ${valueText(y)}`);
  return steps.join("") + (closed === "closed" ? "Z" : "");
}

function valueText(value: string | number): string {
  return typeof value === "number" ? String(Math.round(value * 100) / 100) : value;
}
