import { blocksPath } from "./blocks.js";
import { element, escapeText } from "./svg.js";

/** A picture as a screen shows it: dots, 1 where lit, or words that are codes of characters. */
export type ScreenPicture =
  | { readonly kind: "dots"; readonly width: number; readonly dots: ArrayLike<number> }
  | {
      readonly kind: "characters";
      readonly columns: number;
      readonly words: ArrayLike<number>;
      readonly inverseBit?: number | undefined;
    };

/** A screen ready to be drawn, in units of a dot or of an eighth of a character. */
export interface DrawnScreen {
  readonly width: number;
  readonly height: number;
  /** Lit dots, or the ground of inverse characters. */
  readonly lit: string;
  /** Rows of text; those of inverse characters are drawn apart, dark on lit. */
  readonly rows: readonly { readonly y: number; readonly plain: string; readonly inverse: string }[];
}

const cell = 8;
/** Stands for a code that the table of characters does not show. */
const unknownSign = "▯";
/** A blank that keeps its width. */
const blankSign = "\u00a0";

/** Geometry of a screen; characters are those of ASCII, for the shapes in the generator are not in the board file. */
export function drawnScreen(picture: ScreenPicture): DrawnScreen {
  if (picture.kind === "dots") {
    const { width, dots } = picture;
    return { width, height: dots.length / width, lit: blocksPath(dots, width, (dot) => dot === 1), rows: [] };
  }
  const { columns, words, inverseBit } = picture;
  const flag = inverseBit === undefined ? 0 : 1 << inverseBit;
  const isInverse = (word: number): boolean => (word & flag) !== 0;
  const lines = Math.ceil(words.length / columns);
  const rows = Array.from({ length: lines }, (_, row) => {
    const own = Array.from({ length: columns }, (_, column) => words[row * columns + column] ?? 0);
    const pick = (inverse: boolean): string =>
      own.map((word) => (isInverse(word) === inverse ? signOf(word & ~flag) : blankSign)).join("");
    return { y: row * cell, plain: pick(false), inverse: pick(true) };
  });
  const ground = blocksPath(words, columns, isInverse).replace(/-?[\d.]+/g, (number) =>
    String(Number(number) * cell),
  );
  return { width: columns * cell, height: lines * cell, lit: ground, rows };
}

/** The character of a code; a box for a code without one. */
export function signOf(code: number): string {
  if (code === 0x20) return blankSign;
  return code > 0x20 && code < 0x7f ? String.fromCharCode(code) : unknownSign;
}

/** A screen as one SVG element: light on dark, as a screen is. */
export function renderMemoryPicture(title: string, picture: ScreenPicture): string {
  const { width, height, lit, rows } = drawnScreen(picture);
  const edge = Math.round(width / 24);
  const text = (words: string, y: number, fill: string): string =>
    words.trim() === ""
      ? ""
      : element(
          "text",
          {
            x: 0,
            y: y + cell * 0.8,
            fill,
            textLength: width,
            lengthAdjust: "spacing",
            "xml:space": "preserve",
          },
          escapeText(words),
        );
  const content = [
    element("title", {}, escapeText(title)),
    element("rect", {
      x: -edge,
      y: -edge,
      width: width + 2 * edge,
      height: height + 2 * edge,
      rx: edge,
      fill: "#10130f",
    }),
    element("path", { d: lit, fill: "#e9f5dd" }),
    ...rows.flatMap(({ y, plain, inverse }) => [text(plain, y, "#e9f5dd"), text(inverse, y, "#10130f")]),
  ];
  return element(
    "svg",
    {
      xmlns: "http://www.w3.org/2000/svg",
      viewBox: `${-edge} ${-edge} ${width + 2 * edge} ${height + 2 * edge}`,
      role: "img",
      "font-family": "monospace",
      "font-size": cell,
    },
    content.join("\n"),
  );
}
