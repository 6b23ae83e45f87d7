import type { MemoryRegion } from "../../board/board.js";
import type { Fault } from "../faults/fault.js";
import { type FaultSpace, machineCode, type RowView } from "../reason/space.js";
import { machineObservables } from "../table/chain.js";
import type { Look } from "./look.js";

/** What a memory test that needs neither RAM nor screen can say besides the name of a chip. */
export const memoryVerdicts = ["good", "lines", "silent"] as const;
export type MemoryVerdict = (typeof memoryVerdicts)[number];

const good = 0;
const lines = 1;
const silent = 2;
const firstChip = memoryVerdicts.length;

/** The memory of a board as a test sees it: its chips, what serves them alone, and the ROM that the test replaces. */
export interface MemorySide {
  /** Parts, by index, that hold tested memory, in the order of the board's memory map. */
  readonly chips: readonly number[];
  /** Parts that drive nothing but memory chips, directly or through each other: address multiplexers, strobe gates. */
  readonly servers: ReadonlySet<number>;
  /** Chips of the start-up ROM, in whose place a self-test is put. */
  readonly startRom: ReadonlySet<number>;
}

/** Finds the memory side of a board; undefined where it describes no RAM or no ROM to start from. */
export function memorySideOf(space: Pick<FaultSpace, "circuit">): MemorySide | undefined {
  const { wiring, engine } = space.circuit;
  const partsOf = (regions: readonly MemoryRegion[]): number[] => [
    ...new Set(
      regions.flatMap((region) => region.chips.flatMap(({ part }) => wiring.partIndex.get(part) ?? [])),
    ),
  ];
  const regions = wiring.board.memory.filter(({ space: name }) => name === "memory");
  const chips = partsOf(regions.filter(({ kind }) => kind === "ram" || kind === "screen"));
  const roms = regions.filter(({ kind }) => kind === "rom");
  const startRom = new Set(partsOf(roms.filter(({ from, to }) => isStart(from, to))));
  if (chips.length === 0 || startRom.size === 0) return undefined;
  const memory = new Set(chips);
  const servers = new Set<number>();
  const driven = new Map<number, number[]>();
  for (const { part, net } of engine.drivers) {
    if (memory.has(part)) continue;
    driven.set(part, [...(driven.get(part) ?? []), net]);
  }
  const servesOnly = (part: number, nets: readonly number[]): boolean =>
    nets.every((net) =>
      (wiring.netPins[net] ?? []).every((pin) => {
        const other = wiring.pins[pin]?.part ?? -1;
        return other === part || memory.has(other) || servers.has(other);
      }),
    );
  for (let before = -1; before < servers.size; ) {
    before = servers.size;
    for (const [part, nets] of driven) if (servesOnly(part, nets)) servers.add(part);
  }
  return { chips, servers, startRom };
}

/** True for the region a processor starts from: from the first address, or up to the last of 64 KiB. */
function isStart(from: string, to: string): boolean {
  return Number.parseInt(from, 16) === 0 || Number.parseInt(to, 16) === 0xffff;
}

const sides = new WeakMap<FaultSpace["circuit"], MemorySide>();

/**
 * What a self-test in ROM would say: `good`, `lines` (address or strobe lines shared by chips), `silent` (the processor
 * does not run it), or the reference of a memory chip. Undefined where the board describes no memory to test.
 */
export function selfTestLook(space: FaultSpace): Look | undefined {
  const side = sides.get(space.circuit) ?? memorySideOf(space);
  if (side === undefined) return undefined;
  sides.set(space.circuit, side);
  const { selfTestNames: right } = space.model.errors;
  const { parts } = space.circuit.wiring;
  const outcomes = [...memoryVerdicts, ...side.chips.map((chip) => parts[chip]?.part.ref ?? "?")];
  const count = outcomes.length;
  const likelihood = new Float64Array(count * count).fill((1 - right) / (count - 1));
  for (let code = 0; code < count; code += 1) likelihood[code * count + code] = right;
  return { outcomes, codeCount: count, likelihood, codeOf: verdictCodes(space, side) };
}

function verdictCodes(space: FaultSpace, side: MemorySide): Look["codeOf"] {
  const { netPins, parts, pins } = space.circuit.wiring;
  const place = new Map(side.chips.map((chip, k) => [chip, firstChip + k]));
  const reaction = machineObservables.indexOf("reaction");
  /** True for a line that more than one memory chip shares, as address and strobe lines do. */
  const isShared = (net: number): boolean =>
    new Set((netPins[net] ?? []).map((pin) => pins[pin]?.part).filter((part) => place.has(part ?? -1))).size >
    1;
  const held = ({ signs: { shortedNet, bridged } }: Fault): readonly number[] =>
    bridged ?? (shortedNet === undefined ? [] : [shortedNet]);
  /** True for a line that other parts than the memory's own meet: holding it may stop the processor itself. */
  const reachesOut = (net: number): boolean =>
    (netPins[net] ?? []).some((pin) => {
      const part = pins[pin]?.part ?? -1;
      return !place.has(part) && !side.servers.has(part) && (parts[part]?.pins.length ?? 0) > 2;
    });
  const codeOfFault = (fault: Fault, view: RowView): number => {
    const nets = held(fault);
    const chip = place.get(fault.part);
    if (!nets.some(reachesOut)) {
      if (chip !== undefined) return nets.some(isShared) ? lines : chip;
      if (side.servers.has(fault.part)) return lines;
    }
    if (side.startRom.has(fault.part) && fault.site === "part") return good;
    return machineCode(view, reaction) === machineCode(space.health, reaction) ? good : silent;
  };
  return (view, faults) => {
    // What keeps the processor from running hides the memory; a shared line hides single chips.
    const codes = faults.map((fault) => codeOfFault(fault, view));
    if (codes.includes(silent)) return silent;
    if (codes.includes(lines)) return lines;
    return Math.max(good, ...codes);
  };
}
