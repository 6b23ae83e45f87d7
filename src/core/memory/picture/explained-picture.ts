import type { Explanation } from "../failing/explanation.js";
import type { PictureFault } from "./picture-fault.js";
import type { PicturePlan } from "./picture-plan.js";

/**
 * The failure of the picture memory that an explanation of failing addresses means; undefined if the explanation is of
 * another memory or has no picture of its own. Where the reads do not tell the level it is taken to be low.
 */
export function pictureFaultOf(
  { kind, about, parts }: Pick<Explanation, "kind" | "about" | "parts">,
  { array }: PicturePlan,
): PictureFault | undefined {
  const all = array.bits.map(({ bit }) => bit);
  const concerns = (refs: readonly string[]): boolean => parts.some(({ part }) => refs.includes(part));
  const isOfChips = concerns(array.bits.map(({ part }) => part));
  const isOfLines = concerns(
    array.lines.flatMap(({ way }) =>
      [...way.shared, ...(way.row?.before ?? []), ...(way.column?.before ?? [])].map(({ part }) => part),
    ),
  );
  const level = about?.level ?? 0;
  switch (kind) {
    case "chip-bit":
    case "chip-bits":
      if (!isOfChips || about?.dataBits === undefined) return undefined;
      return { kind: "bits-stuck", bits: [...about.dataBits], level };
    case "chip-row":
    case "chip-column": {
      const number = kind === "chip-row" ? about?.row : about?.column;
      if (!isOfChips || about?.dataBits === undefined || number === undefined) return undefined;
      const axis = kind === "chip-row" ? "row" : "column";
      return { kind: "cells", axis, number, bits: [...about.dataBits], level };
    }
    case "chip-address-pin":
    case "address-line":
    case "address-input": {
      if (!(isOfChips || isOfLines) || about?.addressLines === undefined) return undefined;
      const lines = [...about.addressLines];
      const bits = about.dataBits === undefined ? {} : { bits: [...about.dataBits] };
      return { kind: "address-line", lines, level, side: "both", ...bits };
    }
    case "write":
      return concerns(array.controls.flatMap(({ way }) => way.map(({ part }) => part)))
        ? { kind: "not-written" }
        : undefined;
    case "refresh-none":
      return array.refreshRows === undefined ? undefined : { kind: "forgets", bits: all };
    default:
      return undefined;
  }
}
