import { hex } from "../../base/hex.js";
import type { Parsed, Problem } from "../../base/problem.js";
import type { Board, MemoryRegion } from "../../board/board.js";
import { type AddressWay, addressWay, type WayPoint } from "./address-way.js";
import { type Circuit, indexCircuit, type TypeSource } from "./circuit.js";

/** Addresses from the first to the last, both included. */
export interface AddressRange {
  readonly from: number;
  readonly to: number;
}

/** One address pin that the chips of an array share. */
export interface AddressLine {
  /** Name of the pin in the part type: `A0`. */
  readonly pin: string;
  readonly net: string;
  readonly way: AddressWay;
}

/** A strobe or write line of an array, with the parts that make it, the nearest first. */
export interface ControlLine {
  /** `row strobe`, `column strobe` or `write`. */
  readonly role: "row strobe" | "column strobe" | "write";
  readonly net: string;
  readonly way: readonly WayPoint[];
}

/** One data bit of an array. */
export interface DataBit {
  readonly bit: number;
  /** Chip that holds the bit. */
  readonly part: string;
  readonly type: string;
  /** Number of its output pin. */
  readonly pin: string;
  /** Net the chip gives the bit to. */
  readonly net: string;
  /** Parts between that net and the processor, nearest to the chip first; none if the chip is on the processor's bus. */
  readonly buffers: readonly WayPoint[];
}

/** Chips that are addressed together: the same lines, the same strobes. */
export interface MemoryArray {
  /** Ids of the board's memory regions that lie in it. */
  readonly regions: readonly string[];
  readonly kind: "ram" | "screen";
  /** Addresses of distinct words: of a memory that is seen several times the first copy. */
  readonly ranges: readonly AddressRange[];
  /** All addresses at which the memory is seen, if that is more than once. */
  readonly copies?: readonly AddressRange[];
  /** In order of the bits. */
  readonly bits: readonly DataBit[];
  readonly lines: readonly AddressLine[];
  readonly controls: readonly ControlLine[];
  /** Rows that must be refreshed; absent for static memory. */
  readonly refreshRows?: number;
}

/**
 * The writable memory of a board as the processor sees it, from the board's memory map and wiring. The value is absent
 * if the map contradicts itself. Codes: `memory-overlap`, `memory-hole`, `memory-bit-twice`, `memory-chip-unknown`,
 * `memory-none`, and the warning `memory-line-unknown` for an address pin whose way to the processor is not found.
 */
export function mapMemory(board: Board, types: TypeSource): Parsed<readonly MemoryArray[]> {
  const circuit = indexCircuit(board, types);
  const problems: Problem[] = [...overlaps(board.memory)];
  const groups = new Map<string, MemoryRegion[]>();
  for (const region of board.memory) {
    if ((region.kind !== "ram" && region.kind !== "screen") || region.space !== "memory") continue;
    if (region.chips.length === 0) continue;
    problems.push(...bitProblems(region, circuit));
    const key = region.chips.map(({ part, bits }) => `${part}:${bits.join(".")}`).join(" ");
    groups.set(key, [...(groups.get(key) ?? []), region]);
  }
  if (groups.size === 0) {
    const message = "The board's memory map names no RAM with its chips.";
    problems.push({ code: "memory-none", severity: "error", message, where: { field: "memory" } });
  }
  if (problems.some(({ severity }) => severity === "error")) return { problems };
  const arrays = [...groups.values()].map((regions) => arrayOf(regions, circuit, problems));
  return { value: arrays, problems };
}

/** True if the address lies in the array. */
export function contains({ ranges }: MemoryArray, address: number): boolean {
  return ranges.some(({ from, to }) => address >= from && address <= to);
}

/** True if some array is seen at the address, be it as a copy. */
export function isWithin(arrays: readonly MemoryArray[], address: number): boolean {
  return arrays.some(({ ranges, copies }) =>
    (copies ?? ranges).some(({ from, to }) => address >= from && address <= to),
  );
}

/** The address of the first copy of the word that is seen at an address; others as they are. */
export function foldAddress(arrays: readonly MemoryArray[], address: number): number {
  for (const { copies, ranges } of arrays) {
    const [first] = ranges;
    if (copies === undefined || first === undefined) continue;
    if (!copies.some(({ from, to }) => address >= from && address <= to)) continue;
    return first.from + ((address - first.from) % (first.to - first.from + 1));
  }
  return address;
}

/** Row that an address selects in dynamic memory; undefined for static memory. */
export function rowOf({ lines }: MemoryArray, address: number): number {
  let row = 0;
  for (const [k, { way }] of lines.entries())
    if (way.row !== undefined && (address >> way.row.bit) & 1) row |= 1 << k;
  return row;
}

/** Column that an address selects in dynamic memory. */
export function columnOf({ lines }: MemoryArray, address: number): number {
  let column = 0;
  for (const [k, { way }] of lines.entries())
    if (way.column !== undefined && (address >> way.column.bit) & 1) column |= 1 << k;
  return column;
}

function overlaps(memory: readonly MemoryRegion[]): Problem[] {
  const problems: Problem[] = [];
  for (const [i, a] of memory.entries()) {
    for (const b of memory.slice(0, i)) {
      if (a.space !== b.space || range(a).from > range(b).to || range(b).from > range(a).to) continue;
      const from = Math.max(range(a).from, range(b).from);
      const to = Math.min(range(a).to, range(b).to);
      problems.push(
        flaw("memory-overlap", `Regions ${b.id} and ${a.id} both hold ${hex(from)} to ${hex(to)}.`, i),
      );
    }
    if (range(a).from > range(a).to)
      problems.push(
        flaw("memory-overlap", `Region ${a.id} ends at ${a.to}, before it begins at ${a.from}.`, i),
      );
  }
  return problems;
}

function bitProblems(region: MemoryRegion, circuit: Circuit): Problem[] {
  const at = circuit.board.memory.indexOf(region);
  const problems: Problem[] = [];
  const seen = new Map<number, string>();
  for (const { part, bits } of region.chips) {
    if (circuit.part(part)?.type.behaviour.kind !== "memory")
      problems.push(
        flaw("memory-chip-unknown", `Region ${region.id} names ${part}, which is no memory chip.`, at),
      );
    for (const bit of bits) {
      const other = seen.get(bit);
      if (other !== undefined)
        problems.push(
          flaw("memory-bit-twice", `Bit ${bit} of region ${region.id} is held by ${other} and ${part}.`, at),
        );
      seen.set(bit, part);
    }
  }
  const width = Math.max(...seen.keys()) + 1;
  const missing = Array.from({ length: width }, (_, bit) => bit).filter((bit) => !seen.has(bit));
  if (missing.length > 0)
    problems.push(flaw("memory-hole", `No chip of region ${region.id} holds bit ${missing.join(", ")}.`, at));
  return problems;
}

function flaw(code: string, message: string, region: number): Problem {
  return { code, severity: "error", message, where: { field: `memory[${region}]` } };
}

function arrayOf(regions: readonly MemoryRegion[], circuit: Circuit, problems: Problem[]): MemoryArray {
  const [first] = regions;
  if (first === undefined) throw new RangeError("an array needs at least one region");
  const [chip] = first.chips;
  const found = chip === undefined ? undefined : circuit.part(chip.part);
  if (chip === undefined || found?.type.behaviour.kind !== "memory")
    throw new RangeError(`region ${first.id} has no memory chip`);
  const { address, strobes, refreshRows } = found.type.behaviour;
  const lines: AddressLine[] = [];
  for (const pin of address) {
    const net = circuit.netOf(chip.part, pin);
    const way = net === undefined ? undefined : addressWay(circuit, net);
    if (net === undefined || circuit.fixedLevel(net) !== undefined) continue;
    if (way === undefined) {
      const message = `The way from ${chip.part} pin ${pin} (${net}) to the processor was not found; faults of this line are left out.`;
      problems.push({ code: "memory-line-unknown", severity: "warning", message, where: {} });
    } else lines.push({ pin, net, way });
  }
  const bits = first.chips.flatMap((entry) => dataBits(entry, circuit)).sort((a, b) => a.bit - b.bit);
  return {
    regions: regions.map(({ id }) => id),
    kind: regions.some(({ kind }) => kind === "ram") ? "ram" : "screen",
    ...withCopies(joined(regions.map(range)), lines, address.length),
    bits,
    lines,
    controls: controlLines(chip.part, strobes ?? [], circuit),
    ...(refreshRows === undefined ? {} : { refreshRows }),
  };
}

/** Where a static memory is smaller than the place it has, it is seen several times there. */
function withCopies(
  ranges: readonly AddressRange[],
  lines: readonly AddressLine[],
  pins: number,
): Pick<MemoryArray, "ranges" | "copies"> {
  const [only] = ranges;
  const used = lines.reduce((mask, { way }) => mask | bitMask(way.row?.bit) | bitMask(way.column?.bit), 0);
  const size = used + 1;
  const isComplete = lines.length === pins && (used & size) === 0;
  if (only === undefined || ranges.length > 1 || !isComplete || only.to - only.from + 1 <= size)
    return { ranges };
  return { ranges: [{ from: only.from, to: only.from + size - 1 }], copies: ranges };
}

function bitMask(bit: number | undefined): number {
  return bit === undefined ? 0 : 1 << bit;
}

function dataBits({ part, bits }: MemoryRegion["chips"][number], circuit: Circuit): DataBit[] {
  const found = circuit.part(part);
  if (found?.type.behaviour.kind !== "memory" || found.type.pins === "as-board") return [];
  const pins = found.type.pins;
  return found.type.behaviour.data.flatMap(({ out }, k): DataBit[] => {
    const bit = bits[k];
    const net = circuit.netOf(part, out);
    if (bit === undefined || net === undefined) return [];
    const pin = pins.find(({ name }) => name === out)?.number ?? out;
    return [{ bit, part, type: found.type.type, pin, net, buffers: dataBuffers(circuit, net, bit, part) }];
  });
}

/** Parts that carry a data net to the processor's data line: those with a pin on the one and a driving pin on the other. */
function dataBuffers(circuit: Circuit, net: string, bit: number, chip: string): WayPoint[] {
  const ref = circuit.board.processor;
  const behaviour = ref === undefined ? undefined : circuit.part(ref)?.type.behaviour;
  if (ref === undefined || behaviour?.kind !== "processor") return [];
  const line = circuit.netOf(ref, behaviour.data[bit] ?? "");
  if (line === undefined || line === net) return [];
  const passed = circuit.driversOf(line).filter(
    ({ part, expression }) =>
      part !== chip &&
      circuit.pinsOn(net).some((pin) => {
        if (pin.part !== part) return false;
        const passage = passageName(expression);
        return passage === undefined || passage === pin.name;
      }),
  );
  return passed.map(({ part, number }) => ({ part, pin: number, role: "buffer" }));
}

function passageName(expression: unknown): string | undefined {
  return typeof expression === "string" ? expression : undefined;
}

function controlLines(chip: string, strobes: readonly string[], circuit: Circuit): ControlLine[] {
  const found = circuit.part(chip);
  if (found === undefined || found.type.pins === "as-board") return [];
  const write = found.type.pins.find(({ name }) => /^\/?(WE|W|WRITE|R_?\/?W)$/i.test(name))?.name;
  const named: [ControlLine["role"], string | undefined][] = [
    ["row strobe", strobes[0]],
    ["column strobe", strobes[1]],
    ["write", write],
  ];
  return named.flatMap(([role, pin]): ControlLine[] => {
    const net = pin === undefined ? undefined : circuit.netOf(chip, pin);
    if (net === undefined || circuit.fixedLevel(net) !== undefined) return [];
    return [{ role, net, way: makersOf(circuit, net) }];
  });
}

/** The resistor on the way to a strobe, and the gate that makes it. */
function makersOf(circuit: Circuit, net: string): WayPoint[] {
  const outputs = (at: string): WayPoint[] =>
    circuit
      .pinsOn(at)
      .filter(({ kind }) => kind === "out" || kind === "tri" || kind === "oc")
      .map(({ part, number }) => ({ part, pin: number, role: "buffer" }));
  const own = outputs(net);
  if (own.length > 0) return own;
  return circuit.acrossResistor(net).flatMap(({ net: other, part }): WayPoint[] => {
    const makers = outputs(other);
    return makers.length === 0 ? [] : [{ part, role: "resistor" }, ...makers];
  });
}

function range({ from, to }: MemoryRegion): AddressRange {
  return { from: Number.parseInt(from, 16), to: Number.parseInt(to, 16) };
}

/** Ranges in order, neighbours joined. */
function joined(ranges: readonly AddressRange[]): AddressRange[] {
  const result: AddressRange[] = [];
  for (const next of [...ranges].sort((a, b) => a.from - b.from)) {
    const last = result.at(-1);
    if (last !== undefined && last.to + 1 === next.from) result[result.length - 1] = { ...last, to: next.to };
    else result.push(next);
  }
  return result;
}
