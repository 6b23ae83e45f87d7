/*
 * Why: the campaign of bench/self-test.ts and a narrow test of it put the same faults in and judge the same way.
 */
import { type LoadedBoard, loadBoard } from "../../src/app/load-board.js";
import { faultsOfClass } from "../../src/core/memory/faults/enumerate.js";
import { faultClasses, type MemoryFault } from "../../src/core/memory/faults/fault.js";
import { signalsOf, type Verdict } from "../../src/core/memory/self-test/beacon.js";
import type { BoardFault, LineFault } from "../../src/core/memory/self-test/emulate/board-fault.js";
import { emulateSelfTest } from "../../src/core/memory/self-test/emulate/emulate.js";
import { generateSelfTest } from "../../src/core/memory/self-test/generate.js";
import { planSelfTest, type SelfTestPlan } from "../../src/core/memory/self-test/plan.js";
import { openStore } from "../../src/store/store.js";

/** First and last word of each board's main memory, and two inside. */
const cellsOf: Readonly<Record<string, readonly [number, number, number, number]>> = {
  "pellow-16": [0x0000, 0x15a5, 0x2a5a, 0x3fff],
  merrow: [0x2000, 0x55a5, 0xaa5a, 0xffff],
};

/** A board, its self-test over the pages of the cells, and the cells. */
export interface Bed {
  readonly loaded: LoadedBoard;
  readonly plan: SelfTestPlan;
  readonly image: Uint8Array;
  readonly cells: readonly number[];
  /** The same for all of the memory; lines are tested before the words are, so this takes no longer. */
  readonly whole: { readonly plan: SelfTestPlan; readonly image: Uint8Array };
}

/** One fault, and what the beacon must say. */
export interface FaultCase {
  /** Row of the result: a class of the fault simulator, or what is wrong. */
  readonly group: string;
  readonly title: string;
  readonly fault: BoardFault | undefined;
  /** Any of these sets of verdicts is right, and nothing else. */
  readonly right: readonly (readonly Verdict[])[];
  /** True if it must be found with the image for all of the memory. */
  readonly isWhole?: true;
}

/**
 * A self-test that tests only the four pages that hold the cells, with short signals and pauses: the code is that of the
 * whole memory but for its table of pages. Only the bus beacon is used, which needs nothing to be on the board.
 */
export function bedOf(board: string): Bed {
  const { value: loaded } = loadBoard(openStore(), board);
  const cells = cellsOf[board];
  const beacon = loaded?.board.selfTest?.beacons.find(({ kind }) => kind === "bus");
  if (loaded === undefined || cells === undefined || beacon === undefined)
    throw new Error(`there are no faults for ${board}`);
  const options = { unitSeconds: 0.001, retentionSeconds: 0.01, beacons: [beacon.id] };
  const ranges = cells.map((cell) => ({ from: cell & 0xff00, to: cell | 0xff }));
  const { value: plan } = planSelfTest(loaded.board, loaded.types, { ...options, ranges });
  const { value: main } = planSelfTest(loaded.board, loaded.types, options);
  const range = main?.banks[0]?.ranges;
  const { value: all } =
    range === undefined ? {} : planSelfTest(loaded.board, loaded.types, { ...options, ranges: range });
  if (plan === undefined || all === undefined) throw new Error(`there is no plan for ${board}`);
  const whole = { plan: all, image: generateSelfTest(all).bytes };
  return { loaded, plan, image: generateSelfTest(plan).bytes, cells, whole };
}

/** What became of a case. */
export type Outcome = "named" | "missed" | "wrong" | "silent";

/** Puts the fault in, runs the self-test and judges what it said. */
export function judge(
  { loaded, plan, image, whole }: Bed,
  { fault, right, isWhole }: FaultCase,
): { outcome: Outcome; said: string; cycles: number } {
  const used = isWhole === true ? whole : { plan, image };
  const { verdicts, cycles, beacon } = emulateSelfTest(loaded, used.plan, used.image, {
    ...(fault === undefined ? {} : { fault }),
    maximumCycles: 3e7,
  });
  const said = textOf(verdicts);
  const isRight = right.some((expected) => textOf(expected) === said);
  const isGood = verdicts.length === 1 && verdicts[0]?.kind === "good";
  const outcome = isRight ? "named" : verdicts.length === 0 ? "silent" : isGood ? "missed" : "wrong";
  return { outcome, said: beacon, cycles };
}

function textOf(verdicts: readonly Verdict[]): string {
  return verdicts
    .map((verdict) => `${verdict.kind} ${signalsOf(verdict).join("")}`)
    .sort()
    .join(", ");
}

/** Every case of a board. */
export function casesOf(bed: Bed): FaultCase[] {
  return [
    { group: "good memory", title: "no fault", fault: undefined, right: [[{ kind: "good" }]] },
    ...sharedCases(bed),
    ...cellCases(bed),
    ...lineCases(bed).map(
      (each): FaultCase => (each.fault?.kind === "chip-address-pin" ? each : { ...each, isWhole: true }),
    ),
    ...romCases(bed),
  ];
}

function sharedCases({ plan }: Bed): FaultCase[] {
  const none: readonly Verdict[] = [{ kind: "no-answer", bank: 0 }];
  const cases: FaultCase[] = [
    { group: "no memory at all", title: "dead", fault: { kind: "all-dead" }, right: [none] },
  ];
  for (const role of ["row strobe", "column strobe", "write"] as const)
    cases.push({
      group: "strobe or write line dead",
      title: role,
      fault: { kind: "no-strobe", bank: 0, role },
      right: [none],
    });
  cases.push({
    group: "nobody refreshes",
    title: "20 ms",
    fault: { kind: "no-refresh", chargeSeconds: 0.004 },
    right: [[{ kind: "refresh" }]],
  });
  if (plan.refresh?.by === "processor")
    cases.push({
      group: "256 rows, 128 refreshed",
      title: "4 ms",
      fault: { kind: "more-rows", chargeSeconds: 0.004 },
      right: [[{ kind: "refresh" }]],
    });
  return cases;
}

/**
 * Every class of the simulator, each kind of it, in each chip at each cell. The second cell of a pair is the next of the four;
 * the Z80 test goes through one range after the other, here single pages, so there it is in the same page.
 */
function cellCases({ plan, cells }: Bed): FaultCase[] {
  const bits = plan.banks[0]?.array.bits ?? [];
  return faultClasses.flatMap((group) => {
    const kinds = faultsOfClass(group, { addresses: 2, wordBits: 1 }).filter(startsAtFirst);
    return kinds.flatMap((kind) =>
      bits.flatMap(({ part, bit }) =>
        cells.map((cell, k): FaultCase => {
          const other =
            plan.processor.instructionSet === "z80" ? cell ^ 0x5a : (cells[(k + 1) % cells.length] ?? cell);
          return {
            group,
            title: `${part} ${JSON.stringify(kind)} at ${cell.toString(16)}`,
            fault: { kind: "cell", part, bit, fault: placed(kind, cell, other) },
            right: [[{ kind: "chip", bank: 0, bit }]],
          };
        }),
      ),
    );
  });
}

function startsAtFirst(fault: MemoryFault): boolean {
  return "cell" in fault ? fault.cell === 0 : "aggressor" in fault ? fault.aggressor === 0 : fault.x === 0;
}

function placed(fault: MemoryFault, first: number, second: number): MemoryFault {
  if ("cell" in fault) return { ...fault, cell: first };
  if ("aggressor" in fault) return { ...fault, aggressor: first, victim: second };
  return "y" in fault ? { ...fault, x: first, y: second } : { ...fault, x: first };
}

function lineCases({ plan }: Bed): FaultCase[] {
  const bank = plan.banks[0];
  if (bank === undefined) return [];
  const { lines, bits } = bank.array;
  const said = (numbers: readonly (number | undefined)[]): Verdict[] =>
    numbers.flatMap((line): Verdict[] =>
      line === undefined ? [] : [{ kind: "address-line", bank: 0, line }],
    );
  const cases: FaultCase[] = [];
  for (const [line, { way, pin }] of lines.entries()) {
    const [row, column] = [way.row?.bit, way.column?.bit];
    for (const value of [0, 1] as const) {
      const fault = (half: LineFault["half"]): BoardFault => ({
        kind: "address-line",
        bank: 0,
        line: { kind: "stuck", line, value, half },
      });
      cases.push(
        {
          group: "multiplexer output stuck",
          title: `${pin} ${value}`,
          fault: fault("both"),
          right: [said([row, column])],
        },
        {
          group: "multiplexer input stuck",
          title: `${pin} row ${value}`,
          fault: fault("row"),
          right: [said([row])],
        },
        {
          group: "multiplexer input stuck",
          title: `${pin} column ${value}`,
          fault: fault("column"),
          right: [said([column])],
        },
      );
      for (const { part, bit } of bits)
        cases.push({
          group: "address pin of one chip open",
          title: `${part} ${pin} ${value}`,
          fault: { kind: "chip-address-pin", part, line: { kind: "stuck", line, value, half: "both" } },
          right: [[{ kind: "chip", bank: 0, bit }]],
        });
    }
    const other = (line + 1) % lines.length;
    const next = lines[other]?.way;
    for (const wiring of ["and", "or"] as const)
      cases.push({
        group: "multiplexer outputs shorted",
        title: `${pin} and next, ${wiring}`,
        fault: {
          kind: "address-line",
          bank: 0,
          line: { kind: "shorted", line, other, wiring, half: "both" },
        },
        right: [
          said([row, column, next?.row?.bit, next?.column?.bit]),
          ...[
            [row, column],
            [next?.row?.bit, next?.column?.bit],
            [row, next?.column?.bit],
            [next?.row?.bit, column],
          ].map(said),
        ],
      });
  }
  for (const { bit, part } of bits) {
    const right: Verdict[][] = [[{ kind: "data-line", bit }]];
    for (const value of [0, 1] as const)
      cases.push(
        {
          group: "data line stuck",
          title: `${bit} ${value}`,
          fault: { kind: "data-line", bank: 0, bit, value },
          right,
        },
        {
          group: "all a chip gives out stuck",
          title: `${part} ${value}`,
          fault: { kind: "output", part, value },
          right,
        },
      );
    const other = (bit + 1) % bits.length;
    for (const wiring of ["and", "or"] as const)
      cases.push({
        group: "data lines bridged",
        title: `${bit} and ${other}, ${wiring}`,
        fault: { kind: "data-bridge", bank: 0, bit, other, wiring },
        right: [
          [
            { kind: "data-line", bit },
            { kind: "data-line", bit: other },
          ],
        ],
      });
  }
  return cases;
}

/** One wrong bit at every 61st byte of the ROM, the bit changing. */
function romCases({ plan }: Bed): FaultCase[] {
  return Array.from({ length: Math.ceil(plan.rom.bytes / 61) }, (_, k): FaultCase => {
    const address = plan.rom.start + k * 61;
    return {
      group: "wrong bit in the ROM",
      title: address.toString(16),
      fault: { kind: "rom-bit", address, bit: k % 8 },
      right: [[{ kind: "rom" }]],
    };
  });
}
