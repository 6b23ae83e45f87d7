import { halfLastPlace, type ReferenceRow, type ReferenceTag } from "../support/check.js";

export const unit = "failures per 10^6 h";
// The typical parts were worked out by two programs whose last digits differ by up to seven millionths.
const twoProgramsDiffer = 1e-5;

/** A row whose tolerance is half the last printed place of `text`. */
export function printedRow(quantity: string, text: string, ours: number, tag: ReferenceTag): ReferenceRow {
  const decimals = text.split(".")[1]?.length ?? 0;
  return { quantity, published: Number(text), ours, tolerance: halfLastPlace(decimals), tag };
}

/** A row for a value worked out without a printed one. */
export function computedRow(quantity: string, published: number, ours: number): ReferenceRow {
  return {
    quantity: `${quantity}, ${unit}`,
    published,
    ours,
    tolerance: twoProgramsDiffer,
    tag: "recomputed",
  };
}
