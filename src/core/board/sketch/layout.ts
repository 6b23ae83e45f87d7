import { type Section, sections } from "../board.js";
import type { SketchPart } from "./sketch-part.js";

/** Where a part lies on the rough map. */
export interface Place {
  readonly xMillimetre: number;
  readonly yMillimetre: number;
}

const columns = 12;
const cellWidth = 24;
const marginMillimetre = 12;
const smallCell = { width: 12, height: 9 };

/** Length of a chip with that many pins, by 2.54 mm for each pair. */
const lengthOf = (pins: number): number => Math.max(10, (pins / 2) * 2.54);
const pinCount = ({ type, pins }: SketchPart): number =>
  type.pins === "as-board" ? Object.keys(pins).length : type.pins.length;
const isChip = (part: SketchPart): boolean =>
  part.type.technology !== "discrete" && part.type.pins !== "as-board" && pinCount(part) >= 8;

/**
 * A rough map: chips in rows by section, the tallest of a row giving its height, and below them the small parts by
 * section. Nothing but the order of the sections is meant to be like the real board.
 */
export function layOut(parts: readonly SketchPart[]): {
  readonly places: ReadonlyMap<SketchPart, Place>;
  readonly widthMillimetre: number;
  readonly heightMillimetre: number;
} {
  const places = new Map<SketchPart, Place>();
  const bySection = (section: Section): number => sections.indexOf(section);
  const ordered = [...parts].sort((a, b) => bySection(a.section) - bySection(b.section));
  const chips = ordered.filter(isChip);
  const small = ordered.filter((part) => !isChip(part));
  let top = marginMillimetre;
  for (let from = 0; from < chips.length; from += columns) {
    const row = chips.slice(from, from + columns);
    const height = Math.max(...row.map((part) => lengthOf(pinCount(part))));
    row.forEach((part, i) => {
      places.set(part, {
        xMillimetre: marginMillimetre + (i + 0.5) * cellWidth,
        yMillimetre: round(top + 8 + height / 2),
      });
    });
    top += height + 16;
  }
  const width = marginMillimetre * 2 + columns * cellWidth;
  const across = Math.floor((width - 2 * marginMillimetre) / smallCell.width);
  small.forEach((part, i) => {
    places.set(part, {
      xMillimetre: marginMillimetre + ((i % across) + 0.5) * smallCell.width,
      yMillimetre: round(top + (Math.floor(i / across) + 0.5) * smallCell.height),
    });
  });
  const rows = Math.ceil(small.length / across);
  return {
    places,
    widthMillimetre: width,
    heightMillimetre: round(top + rows * smallCell.height + marginMillimetre),
  };
}

/** Place of a decoupling capacitor beside a chip. */
export function besideChip(chip: SketchPart, { xMillimetre, yMillimetre }: Place, number: number): Place {
  const reach = Math.min(26, lengthOf(pinCount(chip)) / 2 + 4);
  return { xMillimetre: xMillimetre - 6 + number * 6, yMillimetre: round(yMillimetre - reach) };
}

function round(millimetre: number): number {
  return Math.round(millimetre * 10) / 10;
}
