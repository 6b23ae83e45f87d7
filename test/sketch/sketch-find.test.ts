import { describe, expect, it } from "vitest";
import { findFaults } from "../../src/core/find/find.js";
import { type PreparedBoard, prepareBoard } from "../../src/core/find/prepare.js";
import type { FindResult } from "../../src/core/find/result/result.js";
import { caseOf, entry, installedFindData, type TypedEntry } from "../support/prepared-board.js";
import { sketched } from "../support/sketch.js";
import { machines } from "./machines.js";

interface Log {
  readonly machine: string;
  /** What the log is about. */
  readonly what: string;
  readonly entries: readonly TypedEntry[];
  /** Type of part that must be among the first kinds of part. */
  readonly type: string;
  /** Worst place among the kinds; 3 unless a reason is given. */
  readonly within?: number;
}

const z80 = "a Z80 with one custom chip for nearly everything";
const c6510 = "a 6510 with logic array, custom video chip and colour memory";
const ttl = "a 6502 with TTL video and static screen memory";
const good5 = entry.volts("rail:+5V", 5.02);
const scope = (at: string, shows: string): TypedEntry => ({
  kind: "reading",
  at,
  with: "oscilloscope",
  shows,
});

const logs: readonly Log[] = [
  {
    machine: z80,
    what: "two rails of a converter gone",
    entries: [
      entry.symptom("random-characters"),
      entry.gate,
      good5,
      entry.volts("rail:-5V", 0),
      entry.volts("rail:+12V", 0.1),
    ],
    type: "converter-stage",
    within: 1,
  },
  {
    machine: z80,
    what: "rails, clock and reset good, pattern on the screen",
    entries: [
      entry.symptom("pattern"),
      entry.gate,
      good5,
      entry.volts("rail:-5V", -5),
      entry.volts("rail:+12V", 12),
      scope("net:CPU CLK", "pulsing"),
      scope("net:/RESET", "high"),
    ],
    type: "4116",
  },
  {
    machine: c6510,
    what: "no clock at the processor, a clock at the video chip",
    entries: [
      entry.symptom("no-picture"),
      entry.gate,
      good5,
      scope("net:CLK FAST", "pulsing"),
      scope("net:PHI0", "low"),
    ],
    type: "video chip (sketched)",
    within: 1,
  },
  {
    machine: c6510,
    what: "the reset held low",
    entries: [
      entry.symptom("no-picture"),
      entry.gate,
      good5,
      scope("net:/RESET", "low"),
      scope("net:RESET RC", "high"),
    ],
    type: "556",
  },
  {
    machine: c6510,
    what: "an address line held low",
    entries: [
      entry.symptom("no-picture"),
      entry.gate,
      good5,
      entry.probe("net:A5", "low"),
      entry.probe("net:A6", "pulsing"),
      entry.probe("net:A7", "pulsing"),
    ],
    type: "6510",
  },
  {
    machine: ttl,
    what: "one character shown as its neighbour",
    entries: [entry.symptom("wrong-characters"), { kind: "characters", right: "A", wrong: "@" }],
    type: "2114",
    // A generator with wrong shapes looks the same.
    within: 2,
  },
  {
    machine: ttl,
    what: "sync and no dots",
    entries: [
      entry.symptom("blank-in-border"),
      entry.gate,
      entry.probe("net:DOTS", "low"),
      entry.probe("net:CH0", "pulsing"),
      entry.probe("net:GD3", "pulsing"),
    ],
    type: "74LS166",
    // A dot clock that is missing looks the same, and a program that never writes to the screen.
  },
];

const prepared = new Map<string, PreparedBoard>();

function prepare(machine: string, chance?: number): PreparedBoard {
  const key = `${machine} ${chance}`;
  const known = prepared.get(key);
  if (known !== undefined) return known;
  const input = machines[machine];
  if (input === undefined) throw new Error(`there is no machine ${machine}`);
  const { board, library } = sketched(input);
  const own = chance === undefined ? board : { ...board, assumedWiredOtherwise: chance };
  const made = prepareBoard(own, { ...installedFindData(), types: library });
  prepared.set(key, made);
  return made;
}

function find(board: PreparedBoard, entries: readonly TypedEntry[]): FindResult {
  const limits = { candidates: 10, settle: 20 };
  return findFaults(board, caseOf(entries), { steps: 0, explained: 0, pairLimits: limits });
}

/** Types of the suspects by the chances of all their parts together: chips of a bank are alike from outside. */
function kindsOf({ suspects }: FindResult): string[] {
  const chances = new Map<string, number>();
  for (const { type, probability } of suspects) chances.set(type, (chances.get(type) ?? 0) + probability);
  return [...chances].sort((a, b) => b[1] - a[1]).map(([type]) => type);
}

describe("finding on a sketched board", () => {
  it.each(logs)("$machine: $what", ({ machine, entries, type, within = 3 }) => {
    const result = find(prepare(machine), entries);
    expect(result.problems).toEqual([]);
    expect(kindsOf(result).slice(0, within)).toContain(type);
  });

  it("lets readings at assumed pins speak less", () => {
    const [, , , , log] = logs;
    const chanceOf = (chance: number): number =>
      find(prepare(c6510, chance), log?.entries ?? []).suspects.find(({ type }) => type === "6510")
        ?.probability ?? 0;
    const [sure, usual, vague] = [0, 0.12, 0.6].map(chanceOf);
    expect(sure).toBeGreaterThan(usual ?? 0);
    expect(usual).toBeGreaterThan(vague ?? 0);
  });

  it("takes rails as they are: their pins follow from the part types", () => {
    const log = logs[0]?.entries ?? [];
    const chanceOf = (chance: number): number =>
      find(prepare(z80, chance), log).suspects[0]?.probability ?? 0;
    expect(chanceOf(0)).toBeCloseTo(chanceOf(0.6), 6);
  });
});
