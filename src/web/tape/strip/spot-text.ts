import { blockOf, type Reading } from "../work/reading.js";
import { momentOnTape } from "./strip-view.js";

/** A byte in one sentence: which, where, its value, and what speaks against it. */
export function spotText(reading: Reading, byte: number): string {
  const found = blockOf(reading, byte);
  const value = reading.bytes[byte] ?? 0;
  const place =
    found === undefined ? `Byte ${byte}` : `Block ${found.number + 1}, byte ${byte - found.block.from}`;
  const moment = momentOnTape(reading.startSeconds[byte] ?? 0, 0.001);
  const words = [`${place} at ${moment}: ${valueText(value)}`];
  if (reading.doubtful[byte] === 1) {
    const other = reading.other[byte] ?? -1;
    const chance = Math.round(100 * (reading.otherChance[byte] ?? 0));
    words.push(other < 0 ? "doubtful" : `doubtful, or ${valueText(other)} (${chance} %)`);
  }
  return words.join(", ");
}

function valueText(value: number): string {
  const hex = value.toString(16).toUpperCase().padStart(2, "0");
  const letter = value >= 0x21 && value < 0x7f ? ` '${String.fromCharCode(value)}'` : "";
  return `${hex}${letter}`;
}
