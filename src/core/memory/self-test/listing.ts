import { hex } from "../../base/hex.js";
import type { ListingRow, SelfTestImage } from "./image.js";

const bytesPerLine = 4;

/** The annotated listing: address, bytes, source and comment, one line an instruction; more bytes go on below. */
export function renderListing(image: SelfTestImage): string {
  return `${image.rows.flatMap(listingLines).join("\n")}\n`;
}

/**
 * Source text for an assembler of the processor, in the maker's notation: assembled again, it gives the bytes of the image.
 * Gaps are filled by the assembler's directive: `defs` for a Z80, `.dsb` for a 6502.
 */
export function renderSource({ rows, instructionSet, bytes, origin }: SelfTestImage): string {
  const lines = [instructionSet === "z80" ? `        org ${origin}` : `        *=${origin}`];
  let at = origin;
  for (const row of rows) {
    const gap = row.address - at;
    const fill = bytes[at - origin] ?? 0;
    if (gap > 0)
      lines.push(instructionSet === "z80" ? `        defs ${gap},${fill}` : `        .dsb ${gap},${fill}`);
    const label = row.label === undefined ? "" : `${row.label}:`;
    lines.push(row.source === "" ? label : `${label.padEnd(8)}${row.source}`);
    at = row.address + row.bytes.length;
  }
  return `${lines.join("\n")}\n`;
}

function listingLines({ address, bytes, label, source, comment }: ListingRow): string[] {
  const note = comment === undefined ? "" : `; ${comment}`;
  if (source === "") return ["", `${" ".repeat(19)}${`${label ?? ""}:`.padEnd(24)}${note}`.trimEnd()];
  const groups = Array.from({ length: Math.max(1, Math.ceil(bytes.length / bytesPerLine)) }, (_, k) =>
    bytes.slice(k * bytesPerLine, (k + 1) * bytesPerLine),
  );
  return groups.map((group, k) => {
    const digits = group.map((byte) => hex(byte, 2)).join(" ");
    const text = k === 0 ? `    ${source}`.padEnd(28) + note : "";
    return `${hex(address + k * bytesPerLine, 4)}  ${digits.padEnd(bytesPerLine * 3)} ${text}`.trimEnd();
  });
}
