import type { Parsed, Problem } from "../../base/problem.js";
import type { Board } from "../../board/board.js";
import { type Circuit, indexCircuit, type TypeSource } from "../map/circuit.js";
import { selectLine } from "../self-test/emulate/select-line.js";

/** A pin of the plug between the processor and its socket. */
export interface PlugPin {
  readonly pin: string;
  readonly name: string;
  /** `through`: joined to the socket; the others are cut from it and tied by a resistor of their own. */
  readonly wired: "through" | "low" | "high";
}

/** A line of the board while the processor runs free. */
export interface FreeRunLine {
  readonly net: string;
  /** Where to probe: part and pin number. */
  readonly part: string;
  readonly pin: string;
  readonly kind: "address" | "select";
  /** What a logic probe shows. */
  readonly look: "pulsing" | "high";
  /** Pattern repeats a second; 0 for a line that stays. */
  readonly hertz: number;
  /** True if it is a clean square wave of that rate, as a counter shows it; false for bursts that repeat so often. */
  readonly isSquare: boolean;
  /** One sentence on what the line does. */
  readonly note: string;
}

/** A processor that is fed nothing but instructions that do nothing, and counts through all addresses. */
export interface FreeRun {
  readonly board: string;
  readonly title: string;
  readonly part: string;
  readonly clockHertz: number;
  /** The instruction on the data pins. */
  readonly instruction: number;
  /** Clock cycles from one address to the next. */
  readonly cyclesPerAddress: number;
  readonly plug: readonly PlugPin[];
  readonly lines: readonly FreeRunLine[];
  readonly notes: readonly string[];
}

/** No operation, and the clock cycles it takes. From the makers' manuals, from memory. */
const noOperation = { z80: { byte: 0x00, cycles: 4 }, "6502": { byte: 0xea, cycles: 2 } } as const;
const addresses = 65536;
/** The refresh counter of the Z80 shows on so many lines, in step with the program counter. */
const refreshLines = 7;

/**
 * What every address line and decoder output of a board does in a free run. Codes: `self-test-processor` if there is no
 * 6502 or Z80, `self-test-means` if the board does not give its clock.
 */
export function freeRunOf(
  board: Board,
  types: TypeSource,
  clockHertz = board.selfTest?.clockHertz,
): Parsed<FreeRun> {
  const circuit = indexCircuit(board, types);
  const found = board.processor === undefined ? undefined : circuit.part(board.processor);
  const problems: Problem[] = [];
  const behaviour = found?.type.behaviour;
  if (found === undefined || behaviour?.kind !== "processor" || behaviour.instructionSet === "other") {
    const message = `${board.title} has no 6502 or Z80; a free run is worked out for those only.`;
    return {
      problems: [{ code: "self-test-processor", severity: "error", message, where: { field: "processor" } }],
    };
  }
  if (clockHertz === undefined) {
    const message = `${board.title} does not give the clock of its processor.`;
    const where = { field: "selfTest.clockHertz" };
    return { problems: [{ code: "self-test-means", severity: "error", message, where }] };
  }
  const set = behaviour.instructionSet;
  const { byte, cycles } = noOperation[set];
  const ref = found.placed.ref;
  const pins = found.type.pins === "as-board" ? [] : found.type.pins;
  const dataBit = (name: string): number => behaviour.data.indexOf(name);
  const plug = pins.map(({ number, name }): PlugPin => {
    const bit = dataBit(name);
    return { pin: number, name, wired: bit < 0 ? "through" : ((byte >> bit) & 1) === 1 ? "high" : "low" };
  });
  const stepHertz = clockHertz / cycles;
  const addressLines = behaviour.address.flatMap((name, bit): FreeRunLine[] => {
    const net = circuit.netOf(ref, name);
    const pin = pins.find((candidate) => candidate.name === name)?.number;
    return net === undefined || pin === undefined ? [] : [addressLine(net, ref, pin, bit, stepHertz, set)];
  });
  const holding = behaviour.holds.flatMap(({ pin }) => {
    const net = circuit.netOf(ref, pin);
    return net !== undefined && circuit.driversOf(net).length > 0 ? [`${pin} (${net})`] : [];
  });
  const value: FreeRun = {
    board: board.id,
    title: board.title,
    part: ref,
    clockHertz,
    instruction: byte,
    cyclesPerAddress: cycles,
    plug,
    lines: [...addressLines, ...selectLines(circuit, types, stepHertz, set)],
    notes: holding.map(
      (pin) => `Something on the board drives ${pin}: while it holds the processor, all rates are lower.`,
    ),
  };
  return { value, problems };
}

function addressLine(
  net: string,
  part: string,
  pin: string,
  bit: number,
  stepHertz: number,
  set: "z80" | "6502",
): FreeRunLine {
  const hertz = stepHertz / 2 ** (bit + 1);
  const line = { net, part, pin, kind: "address", look: "pulsing", hertz } as const;
  if (set === "6502" || bit < refreshLines) return { ...line, isSquare: true, note: `A${bit}: square wave.` };
  return {
    ...line,
    isSquare: false,
    note: `A${bit}: bursts; low in every refresh.`,
  };
}

/** Outputs of decoding gates whose level follows from the processor's lines alone. */
function selectLines(
  circuit: Circuit,
  types: TypeSource,
  stepHertz: number,
  set: "z80" | "6502",
): FreeRunLine[] {
  const decoding = circuit.board.parts.filter(({ section }) => section === "decoding");
  return decoding.flatMap(({ ref, type }): FreeRunLine[] => {
    const found = types.get(type);
    if (found?.behaviour.kind !== "logic" || found.pins === "as-board") return [];
    const outputs = Object.keys(found.behaviour.outputs);
    return found.pins.flatMap(({ name, number }): FreeRunLine[] => {
      const net = outputs.includes(name) ? circuit.netOf(ref, name) : undefined;
      if (net === undefined) return [];
      const line = selectedBy(circuit, types, { part: ref, pin: number }, set);
      return line === undefined ? [] : [describe(net, ref, number, line, stepHertz)];
    });
  });
}

interface Selected {
  /** Fetches in which the line is low, of 65,536. */
  readonly low: number;
  /** Runs of such fetches. */
  readonly runs: number;
  /** True if a refresh makes it low too. */
  readonly inRefresh: boolean;
}

function selectedBy(
  circuit: Circuit,
  types: TypeSource,
  pin: { readonly part: string; readonly pin: string },
  set: "z80" | "6502",
): Selected | undefined {
  const isLow = selectLine(circuit.board, types, { ...pin, active: "low" });
  try {
    let low = 0;
    let runs = 0;
    let before = isLow("fetch", addresses - 1);
    for (let address = 0; address < addresses; address += 1) {
      const now = isLow("fetch", address);
      if (now) low += 1;
      if (now && !before) runs += 1;
      before = now;
    }
    let inRefresh = false;
    if (set === "z80") for (let row = 0; row < 128; row += 1) inRefresh ||= isLow("refresh", row);
    return { low, runs, inRefresh };
  } catch (error) {
    // A level on the way is not known from the processor alone: nothing is promised of this line.
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

function describe(
  net: string,
  part: string,
  pin: string,
  { low, runs, inRefresh }: Selected,
  stepHertz: number,
): FreeRunLine {
  const line = { net, part, pin, kind: "select", isSquare: false } as const;
  const refresh = inRefresh ? " Refresh makes it low too." : "";
  if (low === 0)
    return {
      ...line,
      look: inRefresh ? "pulsing" : "high",
      hertz: 0,
      note: `Not low in any fetch.${refresh}`,
    };
  if (runs === 0)
    return { ...line, look: "pulsing", hertz: stepHertz, note: `Low in every fetch.${refresh}` };
  const share = `Low in ${low} of 65,536 fetches, in ${runs === 1 ? "one run" : `${runs} runs`}.`;
  return { ...line, look: "pulsing", hertz: (runs * stepHertz) / addresses, note: `${share}${refresh}` };
}
