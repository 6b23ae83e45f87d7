import type { Parsed } from "../../../base/problem.js";
import type { Bit, DecoderFault, Disturbance, MemoryFault, Wiring } from "../../faults/fault.js";
import type { MemoryArray } from "../../map/memory-map.js";
import type { SelfTestPlan, TestBank } from "../plan.js";
import type { BoardFault, LineFault, LineHalf } from "./board-fault.js";

/** How long rows keep their charge when nobody refreshes them, in seconds; common practice, no source. */
const usualChargeSeconds = 0.02;

/**
 * Reads a fault: `PART:KIND`, `PART:KIND@ADDRESS` or `PART:KIND@ADDRESS,ADDRESS`, the addresses hexadecimal.
 *
 * - A memory chip without address: `stuck-0`, `stuck-1`: all it gives out. With one: `stuck-0`, or a class of the fault
 *   simulator with its parameters, as `TF-1`, `SOF`, `DRF-0`, `CFid-1-0@2000,2A00` (aggressor, victim), `AF-D-and@2000,2A00`.
 *   `U33.2:...` means data bit 2 of a chip that holds several.
 * - `PIN` of a memory chip's address, or a part of an address or data line: `U29.4:stuck-0`, `U29.4:stuck-1`,
 *   `U29.4:open`, which reads as 1.
 * - A part of a strobe: `U12.6:dead`.
 * - The ROM: `U2:stuck-0`, all data; `U2:flip@0123.4`, one bit.
 * - `memory:dead`, `memory:no-refresh`, `memory:256-rows`.
 *
 * The value is absent if it cannot be read. Code: `fault-unreadable`.
 */
export function parseFault(text: string, plan: SelfTestPlan): Parsed<BoardFault> {
  const refuse = (message: string): Parsed<BoardFault> => ({
    problems: [{ code: "fault-unreadable", severity: "error", message, where: { field: "fault" } }],
  });
  const [, part = "", pin, kind = "", places] =
    /^\s*([\w/+-]+)(?:\.(\w+))?:([\w-]+)(?:@([0-9A-Fa-f$x,.\s]+))?\s*$/.exec(text) ?? [];
  if (part === "")
    return refuse(`A fault is written PART:KIND or PART:KIND@ADDRESS, as U17:stuck-0@1A2B; got '${text}'.`);
  if (part === "memory")
    return ofMemory(kind) ?? refuse(`'memory' can be dead, no-refresh or 256-rows, not '${kind}'.`);
  if (part === plan.rom.part) {
    const fault = ofRom(kind, places, plan);
    return fault === undefined
      ? refuse(`The ROM ${part} can be stuck-0, stuck-1 or flip@ADDRESS.BIT; got '${text}'.`)
      : { value: fault, problems: [] };
  }
  const bank = plan.banks.find(({ array }) => holds(array, part));
  if (bank === undefined) return refuse(`${part} has no part in the memory that the self-test tests.`);
  const addresses = (places?.split(",") ?? []).map((place) =>
    Number.parseInt(place.trim().replace(/^(\$|0x)/i, ""), 16),
  );
  const outside = addresses.find((address) => !isWithin(bank, address));
  if (outside !== undefined)
    return refuse(`The memory of ${part} does not hold the address '${places ?? ""}'.`);
  const found = ofChip(bank, part, pin, kind, addresses) ?? ofLine(bank, part, pin, kind);
  return found === undefined
    ? refuse(`'${kind}' is no fault of ${part}${pin === undefined ? "" : ` pin ${pin}`} that can be put in.`)
    : { value: found, problems: [] };
}

function ofMemory(kind: string): Parsed<BoardFault> | undefined {
  const value: BoardFault | undefined =
    kind === "dead"
      ? { kind: "all-dead" }
      : kind === "no-refresh"
        ? { kind: "no-refresh", chargeSeconds: usualChargeSeconds }
        : kind === "256-rows"
          ? { kind: "more-rows", chargeSeconds: usualChargeSeconds }
          : undefined;
  return value === undefined ? undefined : { value, problems: [] };
}

function ofRom(kind: string, places: string | undefined, { rom }: SelfTestPlan): BoardFault | undefined {
  const level = levelOf(kind);
  if (level !== undefined && places === undefined) return { kind: "rom-output", bits: 0xff, value: level };
  const [, digits, bit] = /^\s*(?:\$|0x)?([0-9a-f]+)\.([0-7])\s*$/i.exec(places ?? "") ?? [];
  if (kind !== "flip" || digits === undefined || bit === undefined) return undefined;
  const address = Number.parseInt(digits, 16);
  if (address < rom.start || address >= rom.start + rom.bytes) return undefined;
  return { kind: "rom-bit", address, bit: Number(bit) };
}

function holds({ bits, lines, controls }: MemoryArray, part: string): boolean {
  return (
    bits.some((bit) => bit.part === part || bit.buffers.some((buffer) => buffer.part === part)) ||
    controls.some(({ way }) => way.some((point) => point.part === part)) ||
    lines.some(({ way }) =>
      [...way.shared, ...(way.row?.before ?? []), ...(way.column?.before ?? [])].some(
        (point) => point.part === part,
      ),
    )
  );
}

function isWithin({ array }: TestBank, address: number): boolean {
  return (array.copies ?? array.ranges).some(({ from, to }) => address >= from && address <= to);
}

/** A fault of a chip's cells, or of all it gives out. */
function ofChip(
  { array }: TestBank,
  part: string,
  pin: string | undefined,
  kind: string,
  addresses: readonly number[],
): BoardFault | undefined {
  const own = array.bits.filter((bit) => bit.part === part);
  const [first] = own;
  if (first === undefined) return undefined;
  const level = levelOf(kind);
  if (level !== undefined && addresses.length === 0 && pin === undefined)
    return { kind: "output", part, value: level };
  const bit =
    own.length > 1 && pin !== undefined ? own.find((each) => String(each.bit) === pin)?.bit : first.bit;
  const fault = cellFault(kind, addresses);
  return fault === undefined || bit === undefined ? undefined : { kind: "cell", part, bit, fault };
}

/** Reads a class of the fault simulator with its parameters. */
function cellFault(kind: string, [a, b]: readonly number[]): MemoryFault | undefined {
  if (a === undefined) return undefined;
  const level = levelOf(kind);
  if (level !== undefined) return { kind: "SAF", cell: a, value: level };
  const [name = "", ...words] = kind.split("-");
  const [first, second] = words.map(bitOf);
  if (name === "AF") return decoderFault(words, a, b);
  if (b === undefined) {
    if (name === "SOF") return { kind: name, cell: a };
    if (first === undefined) return undefined;
    if (name === "SAF") return { kind: name, cell: a, value: first };
    if (name === "TF") return { kind: name, cell: a, to: first };
    if (name === "WDF" || name === "RDF" || name === "DRDF" || name === "IRF" || name === "DRF")
      return { kind: name, cell: a, state: first };
    return undefined;
  }
  const cells = { aggressor: a, victim: b };
  if (name === "CFin" && first !== undefined) return { kind: name, ...cells, to: first };
  if (second === undefined) return undefined;
  const [operation = ""] = words;
  if (name === "CFds" && isDisturbance(operation)) return { kind: name, ...cells, operation, state: second };
  if (first === undefined) return undefined;
  switch (name) {
    case "CFid":
      return { kind: name, ...cells, to: first, forces: second };
    case "CFst":
      return { kind: name, ...cells, state: first, forces: second };
    case "CFdyn":
      return { kind: name, ...cells, value: first, forces: second };
    case "CFtr":
    case "CFwd":
    case "CFrd":
    case "CFdrd":
    case "CFir":
      return { kind: name, ...cells, aggressorState: first, state: second };
    default:
      return undefined;
  }
}

function decoderFault(words: readonly string[], x: number, y: number | undefined): DecoderFault | undefined {
  const [type, second, third] = words;
  const wiring = wiringOf(third ?? second);
  const floating = bitOf(second ?? "");
  if (wiring === undefined) return undefined;
  if (type === "A" && floating !== undefined && y === undefined)
    return { kind: "AF", type, x, floating, wiring };
  if (y === undefined) return undefined;
  if (type === "B" && floating !== undefined) return { kind: "AF", type, x, y, floating, wiring };
  return type === "C" || type === "D" ? { kind: "AF", type, x, y, wiring } : undefined;
}

/** A fault of an address pin, an address or data line, or a strobe. */
function ofLine(
  { array, index }: TestBank,
  part: string,
  pin: string | undefined,
  kind: string,
): BoardFault | undefined {
  const isPoint = (point: { readonly part: string; readonly pin?: string }): boolean =>
    point.part === part && (pin === undefined || point.pin === undefined || point.pin === pin);
  const control = array.controls.find(({ way }) => way.some(isPoint));
  if (kind === "dead" && control !== undefined) return { kind: "no-strobe", bank: index, role: control.role };
  const value = kind === "open" ? 1 : levelOf(kind);
  if (value === undefined) return undefined;
  for (const [line, { way }] of array.lines.entries()) {
    const half: LineHalf | undefined = way.shared.some(isPoint)
      ? "both"
      : way.row?.before.some(isPoint) === true
        ? "row"
        : way.column?.before.some(isPoint) === true
          ? "column"
          : undefined;
    if (half === undefined) continue;
    const fault: LineFault = { kind: "stuck", line, value, half };
    return { kind: "address-line", bank: index, line: fault };
  }
  const bit = array.bits.find(({ buffers }) => buffers.some(isPoint));
  return bit === undefined ? undefined : { kind: "data-line", bank: index, bit: bit.bit, value };
}

function levelOf(kind: string): Bit | undefined {
  return kind === "stuck-0" ? 0 : kind === "stuck-1" ? 1 : undefined;
}

function bitOf(word: string): Bit | undefined {
  return word === "0" ? 0 : word === "1" ? 1 : undefined;
}

function wiringOf(word: string | undefined): Wiring | undefined {
  return word === "and" || word === "or" ? word : undefined;
}

function isDisturbance(word: string): word is Disturbance {
  return ["r0", "r1", "0w0", "0w1", "1w0", "1w1"].includes(word);
}
