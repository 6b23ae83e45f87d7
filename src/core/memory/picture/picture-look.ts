import type { PicturePlan } from "./picture-plan.js";
import { pictureDots } from "./shown-picture.js";

/** What repeats along one direction of the picture. Dots, lines, columns or rows are counted from 1. */
export interface Repeat {
  /** Length after which it repeats; absent if it does not. */
  readonly every?: number;
  /** Spoiled stretches within the first repeat, or within the whole picture. */
  readonly at: readonly { readonly from: number; readonly to: number }[];
}

/** What a fault does to a picture, as somebody before the screen would say it. */
export interface PictureLook {
  /** `dots` and lines of a picture drawn bit by bit, or `characters` in columns and rows. */
  readonly unit: "dots" | "characters";
  readonly width: number;
  readonly height: number;
  /** [height × width] row by row: 1 where the picture differs from a good one. */
  readonly differs: Uint8Array;
  readonly shape: "none" | "everywhere" | "upright-stripes" | "level-stripes" | "pattern" | "scattered";
  /** From left to right; absent if every column of it is spoiled alike, or the shape is `none` or `scattered`. */
  readonly across?: Repeat;
  /** From top to bottom; likewise. */
  readonly down?: Repeat;
  /** What spoiled dots become; of characters `other`. */
  readonly becomes: "lit" | "dark" | "both" | "other";
}

/** Compares the words that a picture shows with those of a good one. */
export function lookOf(plan: PicturePlan, good: Uint16Array, shown: Uint16Array): PictureLook {
  const { columns, rows, dotsAcross, linesHigh, draws } = plan.layout;
  if (draws.kind === "characters") {
    const differs = Uint8Array.from(good, (word, k) => (word === shown[k] ? 0 : 1));
    return {
      unit: "characters",
      width: columns,
      height: rows,
      differs,
      ...shapeOf(differs, columns),
      becomes: "other",
    };
  }
  const before = pictureDots(plan, good);
  const after = pictureDots(plan, shown);
  const differs = Uint8Array.from(before, (dot, k) => (dot === after[k] ? 0 : 1));
  const width = columns * dotsAcross;
  return {
    unit: "dots",
    width,
    height: rows * linesHigh,
    differs,
    ...shapeOf(differs, width),
    becomes: becomesOf(differs, after),
  };
}

function becomesOf(differs: Uint8Array, after: Uint8Array): PictureLook["becomes"] {
  let lit = 0;
  let dark = 0;
  for (let k = 0; k < differs.length; k += 1) {
    if (differs[k] === 0) continue;
    if (after[k] === 1) lit += 1;
    else dark += 1;
  }
  return lit > 0 && dark > 0 ? "both" : dark > 0 ? "dark" : "lit";
}

/** A pattern that is the product of a row and a column is named; any other is scattered. */
function shapeOf(differs: Uint8Array, width: number): Pick<PictureLook, "shape" | "across" | "down"> {
  const height = differs.length / width;
  const columns = new Uint8Array(width);
  const rows = new Uint8Array(height);
  for (let k = 0; k < differs.length; k += 1) {
    if (differs[k] === 0) continue;
    columns[k % width] = 1;
    rows[Math.floor(k / width)] = 1;
  }
  if (!rows.includes(1)) return { shape: "none" };
  const isProduct = differs.every(
    (one, k) => one === (columns[k % width] ?? 0) * (rows[Math.floor(k / width)] ?? 0),
  );
  if (!isProduct) return { shape: "scattered" };
  const across = columns.includes(0) ? repeatOf(columns) : undefined;
  const down = rows.includes(0) ? repeatOf(rows) : undefined;
  if (across === undefined)
    return down === undefined ? { shape: "everywhere" } : { shape: "level-stripes", down };
  return down === undefined ? { shape: "upright-stripes", across } : { shape: "pattern", across, down };
}

/** The shortest repeat that fits at least twice. */
function repeatOf(marks: Uint8Array): Repeat {
  for (let every = 1; every <= marks.length / 2; every += 1)
    if (marks.every((mark, k) => k < every || mark === marks[k - every]))
      return { every, at: stretches(marks.subarray(0, every)) };
  return { at: stretches(marks) };
}

function stretches(marks: Uint8Array): { from: number; to: number }[] {
  const found: { from: number; to: number }[] = [];
  for (const [k, mark] of marks.entries()) {
    if (mark === 0) continue;
    const last = found.at(-1);
    if (last?.to === k) last.to = k + 1;
    else found.push({ from: k + 1, to: k + 1 });
  }
  return found;
}

/** A look in one sentence. */
export function lookText(look: PictureLook): string {
  const { unit, shape, across, down, becomes } = look;
  const [across1, down1] = unit === "dots" ? ["dot", "line"] : ["column", "row"];
  const end =
    becomes === "lit"
      ? "lit that should be dark"
      : becomes === "dark"
        ? "dark that should be lit"
        : becomes === "both"
          ? "turned over"
          : "another character";
  switch (shape) {
    case "none":
      return "This picture shows nothing of it.";
    case "everywhere":
      return unit === "dots" ? `Every dot is ${end}.` : "Every character is another one.";
    case "scattered": {
      const share = look.differs.reduce((sum, one) => sum + one, 0) / look.differs.length;
      const percent = Math.max(1, Math.round(share * 100));
      return `${percent} % of the ${unit} are wrong, in a pattern of its own.`;
    }
    case "upright-stripes":
      return `Upright stripes: ${placeWords(across, across1, "left")}, ${end}.`;
    case "level-stripes":
      return `Level stripes: ${placeWords(down, down1, "top")}, ${end}.`;
    case "pattern":
      return `A pattern: ${placeWords(across, across1, "left")}, in ${placeWords(down, down1, "top")}, ${end}.`;
  }
}

const mostStretches = 4;

function placeWords(repeat: Repeat | undefined, unit: string, side: "left" | "top"): string {
  if (repeat === undefined) return `every ${unit}`;
  const shown = repeat.at.slice(0, mostStretches);
  const places = shown.map(({ from, to }) => (from === to ? `${from}` : `${from} to ${to}`)).join(", ");
  const more = repeat.at.length > mostStretches ? " and more" : "";
  const only = repeat.at.length === 1 && repeat.at[0]?.from === repeat.at[0]?.to;
  const counted = `${unit}${only ? "" : "s"} ${places}${more}`;
  return repeat.every === undefined
    ? `${counted} from the ${side}`
    : `${counted} of every ${repeat.every}, counted from the ${side}`;
}
