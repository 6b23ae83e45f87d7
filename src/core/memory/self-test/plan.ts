import type { Parsed, Problem } from "../../base/problem.js";
import type { Board, BoardBeacon, MemoryRegion } from "../../board/board.js";
import type { TypeSource } from "../map/circuit.js";
import { type AddressRange, mapMemory } from "../map/memory-map.js";
import { standardBackgrounds } from "../march/backgrounds.js";
import { banksOf, type TestBank } from "./banks.js";
import { busFlaw } from "./bus-check.js";

export type { TestBank };

/** A place where the verdict shows, with its numbers read. */
export type BusBeacon = Omit<Extract<BoardBeacon, { kind: "bus" }>, "address"> & { readonly address: number };
/** A bit of a port that can be heard or seen; beacons that share an address are written as one byte. */
export interface PortBeacon {
  readonly id: string;
  readonly title: string;
  readonly net: string;
  readonly medium: "sound" | "light" | "picture";
  readonly space: "memory" | "io";
  readonly address: number;
  readonly on: number;
  readonly off: number;
  readonly setUp: readonly { readonly address: number; readonly value: number }[];
}
/** Part of the picture memory. */
export interface ScreenBeacon {
  readonly id: string;
  readonly title: string;
  readonly range: AddressRange;
  readonly on: number;
  readonly off: number;
  /** Present if the screen can show words. */
  readonly characters?: "ascii";
}

/** Everything a code generator, the emulation and the sheet need to know of a board. */
export interface SelfTestPlan {
  readonly board: string;
  readonly title: string;
  readonly processor: { readonly part: string; readonly instructionSet: "6502" | "z80" };
  readonly clockHertz: number;
  /** The chip that holds the code; `start` and `bytes` as the processor sees it. */
  readonly rom: {
    readonly part: string;
    readonly type: string;
    readonly start: number;
    readonly bytes: number;
  };
  /** At least one; the main memory first. */
  readonly banks: readonly TestBank[];
  /** Who refreshes dynamic memory, and how many rows; absent if none of the banks is dynamic. */
  readonly refresh?: { readonly by: "processor" | "picture"; readonly rows: number };
  /** At least one bus beacon; all beacons show the same verdict at the same time. */
  readonly bus: BusBeacon;
  readonly ports: readonly PortBeacon[];
  readonly screen?: ScreenBeacon;
  /** Data backgrounds of March C-, each a byte; the complement takes the part of 1. */
  readonly backgrounds: readonly number[];
  /** Length of a short signal; everything else in the code is a multiple of it. */
  readonly unitSeconds: number;
  /** How long the memory is left alone between writing and reading it again. */
  readonly retentionSeconds: number;
}

/** What can be chosen; everything else comes from the board. */
export interface PlanOptions {
  readonly clockHertz?: number;
  /** Addresses to test; all writable memory of the board if absent. */
  readonly ranges?: readonly AddressRange[];
  /** Rows of the chips that are fitted, where they differ from the part type's. */
  readonly refreshRows?: 128 | 256;
  /** Ids of beacons to use; all of the board's if absent. One must be a bus beacon. */
  readonly beacons?: readonly string[];
  readonly unitSeconds?: number;
  readonly retentionSeconds?: number;
}

/** Length of a short signal if nothing else is asked for: slow enough to be read by eye. */
export const usualUnitSeconds = 0.2;
/** Pause of the retention pass if nothing else is asked for; common practice, no source. */
export const usualRetentionSeconds = 1;
/** A unit of the beacon is counted in 16 bits, and a round of the counting loop takes 60 cycles or more. */
const maximumUnitCycles = 3_900_000;

/**
 * What a self-test in ROM would do on a board. The value is absent if there cannot be one. Codes: those of `mapMemory`,
 * and `self-test-processor`, `self-test-rom`, `self-test-means`, `beacon-unknown`, `beacon-missing`,
 * `beacon-disturbed`, `range-outside`, `range-overlap`, `range-not-page`, `clock-impossible`, `time-impossible`, `too-many-banks`.
 */
export function planSelfTest(
  board: Board,
  types: TypeSource,
  options: PlanOptions = {},
): Parsed<SelfTestPlan> {
  const mapped = mapMemory(board, types);
  const problems = [...mapped.problems];
  const fail = (code: string, message: string, field: string, hint?: string): void => {
    problems.push({
      code,
      severity: "error",
      message,
      where: { field },
      ...(hint === undefined ? {} : { hint }),
    });
  };
  const processor = processorOf(board, types);
  if (processor === undefined)
    fail(
      "self-test-processor",
      `${board.title} has no 6502 or Z80; a self-test is built for those only.`,
      "processor",
    );
  const rom = processor === undefined ? undefined : romOf(board, processor.instructionSet);
  if (processor !== undefined && rom === undefined)
    fail(
      "self-test-rom",
      `No ROM chip of the memory map holds ${processor.instructionSet === "z80" ? "address 0000" : "the reset vector at FFFC"}, where the processor starts.`,
      "memory",
    );
  const means = board.selfTest;
  if (means === undefined)
    fail(
      "self-test-means",
      `${board.title} does not say where a self-test can show its verdict.`,
      "selfTest",
      "Add the field 'selfTest' with clock and beacons to the board file; docs/formats/board.md describes it.",
    );
  const clockHertz = options.clockHertz ?? means?.clockHertz ?? 0;
  if (means !== undefined && !(clockHertz >= 1e5 && clockHertz <= 2e7))
    fail(
      "clock-impossible",
      `A clock of ${clockHertz} Hz is outside 100 kHz to 20 MHz.`,
      "selfTest.clockHertz",
    );
  const unitSeconds = options.unitSeconds ?? usualUnitSeconds;
  const retentionSeconds = options.retentionSeconds ?? usualRetentionSeconds;
  if (!(unitSeconds >= 1e-3 && unitSeconds <= 2))
    fail("time-impossible", `A short signal of ${unitSeconds} s is outside 0.001 to 2 s.`, "unit");
  if (!(retentionSeconds >= 0 && retentionSeconds <= 60))
    fail("time-impossible", `A pause of ${retentionSeconds} s is outside 0 to 60 s.`, "pause");
  if (unitSeconds * clockHertz > maximumUnitCycles)
    fail(
      "time-impossible",
      `A short signal of ${unitSeconds} s is ${Math.round(unitSeconds * clockHertz)} clock cycles; the code counts to ${maximumUnitCycles}.`,
      "unit",
    );
  const arrays = mapped.value ?? [];
  const banks = banksOf(board, arrays, options.ranges, problems);
  const beacons = chosenBeacons(means?.beacons ?? [], options.beacons, problems);
  const bus = beacons.find((beacon) => beacon.kind === "bus");
  if (means !== undefined && bus === undefined)
    fail(
      "beacon-missing",
      "None of the chosen beacons is a select line; one that needs no RAM is required.",
      "selfTest.beacons",
    );
  if (bus !== undefined && rom !== undefined && processor !== undefined) {
    const flaw = busFlaw(
      board,
      types,
      { ...bus, address: address(bus.address) },
      {
        rom: { from: rom.start, to: rom.start + rom.bytes - 1 },
        memory: banks.flatMap(({ ranges }) => ranges),
        hasRefresh: processor.instructionSet === "z80",
      },
    );
    if (flaw !== undefined) fail("beacon-disturbed", flaw, "selfTest.beacons");
  }
  const isLost = problems.some(({ severity }) => severity === "error");
  if (isLost || processor === undefined || rom === undefined || means === undefined || bus === undefined)
    return { problems };
  const rows = Math.max(0, ...banks.map(({ array }) => array.refreshRows ?? 0));
  const screen = beacons.find((beacon) => beacon.kind === "screen");
  const value: SelfTestPlan = {
    board: board.id,
    title: board.title,
    processor,
    clockHertz,
    rom,
    banks,
    ...(rows === 0 || means.refreshBy === "none"
      ? {}
      : { refresh: { by: means.refreshBy, rows: options.refreshRows ?? rows } }),
    bus: { ...bus, address: address(bus.address) },
    ports: beacons.flatMap((beacon) => (beacon.kind === "port" ? [portOf(beacon)] : [])),
    ...(screen === undefined ? {} : { screen: screenOf(screen) }),
    backgrounds: standardBackgrounds(8),
    unitSeconds,
    retentionSeconds,
  };
  return { value, problems };
}

function processorOf(board: Board, types: TypeSource): SelfTestPlan["processor"] | undefined {
  const placed = board.parts.find(({ ref }) => ref === board.processor);
  const behaviour = placed === undefined ? undefined : types.get(placed.type)?.behaviour;
  if (placed === undefined || behaviour?.kind !== "processor" || behaviour.instructionSet === "other")
    return undefined;
  return { part: placed.ref, instructionSet: behaviour.instructionSet };
}

function romOf(board: Board, instructionSet: "6502" | "z80"): SelfTestPlan["rom"] | undefined {
  const first = instructionSet === "z80" ? 0 : 0xfffc;
  const region = board.memory.find(
    (candidate) => candidate.kind === "rom" && candidate.space === "memory" && holds(candidate, first),
  );
  const chip = region?.chips.find(
    ({ from, to }) =>
      (from === undefined || address(from) <= first) && (to === undefined || address(to) >= first),
  );
  const placed = board.parts.find(({ ref }) => ref === chip?.part);
  if (region === undefined || chip === undefined || placed === undefined || chip.bits.length !== 8)
    return undefined;
  const start = address(chip.from ?? region.from);
  return { part: placed.ref, type: placed.type, start, bytes: address(chip.to ?? region.to) - start + 1 };
}

function chosenBeacons(
  all: readonly BoardBeacon[],
  ids: readonly string[] | undefined,
  problems: Problem[],
): readonly BoardBeacon[] {
  for (const id of ids ?? []) {
    if (all.some((beacon) => beacon.id === id)) continue;
    const message = `There is no beacon '${id}'; the board has ${all.map((beacon) => beacon.id).join(", ") || "none"}.`;
    problems.push({
      code: "beacon-unknown",
      severity: "error",
      message,
      where: { field: "selfTest.beacons" },
    });
  }
  return ids === undefined ? all : all.filter(({ id }) => ids.includes(id));
}

function portOf({
  address: at,
  on,
  off,
  setUp,
  ...rest
}: Extract<BoardBeacon, { kind: "port" }>): PortBeacon {
  return {
    id: rest.id,
    title: rest.title,
    net: rest.net,
    medium: rest.medium,
    space: rest.space,
    address: address(at),
    on: address(on),
    off: address(off),
    setUp: setUp.map((write) => ({ address: address(write.address), value: address(write.value) })),
  };
}

function screenOf(beacon: Extract<BoardBeacon, { kind: "screen" }>): ScreenBeacon {
  const { id, title, from, to, on, off, characters } = beacon;
  const range = { from: address(from), to: address(to) };
  return {
    id,
    title,
    range,
    on: address(on),
    off: address(off),
    ...(characters === undefined ? {} : { characters }),
  };
}

function holds({ from, to }: MemoryRegion, at: number): boolean {
  return address(from) <= at && at <= address(to);
}

function address(digits: string): number {
  return Number.parseInt(digits, 16);
}
