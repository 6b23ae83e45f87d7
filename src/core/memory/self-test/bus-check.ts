import { hex } from "../../base/hex.js";
import type { Board } from "../../board/board.js";
import type { TypeSource } from "../map/circuit.js";
import type { AddressRange } from "../map/memory-map.js";
import { type SelectLine, selectLine } from "./emulate/select-line.js";

/** A select line, and what is read to move it. */
export interface SelectBeacon {
  readonly id: string;
  readonly part: string;
  readonly pin: string;
  readonly active: "low" | "high";
  readonly space: "memory" | "io";
  readonly address: number;
}

/** Where the processor is while a self-test runs. */
export interface Traffic {
  readonly rom: AddressRange;
  readonly memory: readonly AddressRange[];
  readonly hasRefresh: boolean;
}

/**
 * What is wrong with a bus beacon by the wiring of the board: one sentence, or undefined. The line must move when its
 * address is read, and must not move for a fetch from the ROM, a refresh, or the memory under test.
 */
export function busFlaw(
  board: Board,
  types: TypeSource,
  beacon: SelectBeacon,
  traffic: Traffic,
): string | undefined {
  const place = `Beacon '${beacon.id}' on ${beacon.part} pin ${beacon.pin}`;
  try {
    const isActive = selectLine(board, types, beacon);
    const read = beacon.space === "io" ? "io-read" : "memory-read";
    if (!isActive(read, beacon.address)) return `${place} does not move when ${hex(beacon.address)} is read.`;
    const mover = firstMover(isActive, traffic);
    return mover === undefined ? undefined : `${place} moves in ${mover} too.`;
  } catch (error) {
    if (error instanceof RangeError) return `${place} cannot be used: ${error.message}.`;
    throw error;
  }
}

function firstMover(isActive: SelectLine, { rom, memory, hasRefresh }: Traffic): string | undefined {
  for (let address = rom.from; address <= rom.to; address += 1)
    if (isActive("fetch", address)) return `a fetch from ${hex(address)}`;
  for (let row = 0; hasRefresh && row < 256; row += 1)
    if (isActive("refresh", row)) return `the refresh of row ${row}`;
  for (const { from, to } of memory)
    for (let address = from; address <= to; address += 1)
      if (isActive("memory-read", address) || isActive("memory-write", address))
        return `the test of memory at ${hex(address)}`;
  return undefined;
}
