import { hex } from "../base/hex.js";
import type { Parsed } from "../base/problem.js";
import type { Block } from "./blocks.js";

/** An EPROM that can be programmed. */
export interface EpromSize {
  readonly type: string;
  readonly bytes: number;
  readonly pins: 24 | 28;
}

/** Common EPROMs in the JEDEC pinouts, by size. */
export const epromSizes: readonly EpromSize[] = [
  { type: "2716", bytes: 0x800, pins: 24 },
  { type: "2732", bytes: 0x1000, pins: 24 },
  { type: "2764", bytes: 0x2000, pins: 28 },
  { type: "27128", bytes: 0x4000, pins: 28 },
  { type: "27256", bytes: 0x8000, pins: 28 },
  { type: "27512", bytes: 0x10000, pins: 28 },
];

/** How content is laid into a chip. */
export interface ChipLayout {
  readonly chip: EpromSize;
  /** Place of the first byte in the chip; 0 if absent. */
  readonly offset?: number;
  /** Byte of unused places; FF, what an erased chip holds, if absent. */
  readonly fill?: number;
  /** Lays the content as often as it fits, from the start, for a larger chip in the socket of a smaller one. */
  readonly isRepeated?: boolean;
}

/** The chip of a type name, with letters of the maker or of the technology between: `27C64` is a 2764. */
export function epromOf(type: string): EpromSize | undefined {
  const number = /27C?(16|32|64|128|256|512)(?!\d)/.exec(type.toUpperCase())?.[1];
  return number === undefined ? undefined : epromSizes.find((size) => size.type === `27${number}`);
}

/**
 * The whole content of a chip. Codes: `chip-too-small`, `chip-offset`, `chip-fill`, `chip-repeat`.
 */
export function fillChip(content: Uint8Array, layout: ChipLayout): Parsed<Uint8Array> {
  const { chip, offset = 0, fill = 0xff, isRepeated = false } = layout;
  const fail = (code: string, message: string): Parsed<Uint8Array> => ({
    problems: [{ code, severity: "error", message, where: {} }],
  });
  if (!Number.isInteger(fill) || fill < 0 || fill > 0xff)
    return fail("chip-fill", `The byte for unused places is 00 to FF, not ${fill}.`);
  if (content.length > chip.bytes)
    return fail(
      "chip-too-small",
      `A ${chip.type} holds ${chip.bytes} bytes, and ${content.length} are needed.`,
    );
  if (!Number.isInteger(offset) || offset < 0 || offset + content.length > chip.bytes)
    return fail(
      "chip-offset",
      `From place ${offset} on a ${chip.type} has no room for ${content.length} bytes; it holds ${chip.bytes}.`,
    );
  const value = new Uint8Array(chip.bytes).fill(fill);
  if (!isRepeated) {
    value.set(content, offset);
    return { value, problems: [] };
  }
  if (offset !== 0 || content.length === 0 || chip.bytes % content.length !== 0)
    return fail(
      "chip-repeat",
      `${content.length} bytes from place ${offset} do not fill a ${chip.type} evenly.`,
    );
  for (let at = 0; at < chip.bytes; at += content.length) value.set(content, at);
  return { value, problems: [] };
}

/** Lays blocks into a space that starts at an address. Codes: `chip-outside` where a block reaches out of it. */
export function bytesOfBlocks(
  blocks: readonly Block[],
  start: number,
  bytes: number,
  fill = 0xff,
): Parsed<Uint8Array> {
  const value = new Uint8Array(bytes).fill(fill);
  for (const block of blocks) {
    if (block.address < start || block.address + block.bytes.length > start + bytes) {
      const message = `Bytes from ${hex(block.address)} to ${hex(block.address + block.bytes.length - 1)} lie outside ${hex(start)} to ${hex(start + bytes - 1)}.`;
      return { problems: [{ code: "chip-outside", severity: "error", message, where: {} }] };
    }
    value.set(block.bytes, block.address - start);
  }
  return { value, problems: [] };
}
