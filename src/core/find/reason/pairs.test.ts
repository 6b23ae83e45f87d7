import { describe, expect, it } from "vitest";
import { settleFresh, weighNaively } from "../../../../test/naive/posterior.naive.js";
import {
  caseOf,
  entry,
  preparedBoard,
  preparedTinyBoard,
  type TypedEntry,
} from "../../../../test/support/prepared-board.js";
import { createRandom } from "../../base/random.js";
import type { PreparedBoard } from "../prepare.js";
import { type SolvedCase, solveCase } from "../solve.js";
import { machineObservables } from "../table/chain.js";
import { type Candidate, combines, type PairSetting, scorePair } from "./pair-score.js";
import { logSum } from "./posterior.js";
import { hypothesisOfFault, type RowView } from "./space.js";

const boards = ["pellow-16", "merrow"] as const;

/** What every net shows and what the machine does, as one list. */
function cells(prepared: PreparedBoard, view: RowView): number[] {
  const { netCount } = prepared.table;
  return [
    ...view.nets.subarray(view.netBase, view.netBase + netCount),
    ...view.machine.subarray(view.machineBase, view.machineBase + machineObservables.length),
  ];
}

function tableRow(prepared: PreparedBoard, row: number): number[] {
  const { nets, machine, netCount } = prepared.table;
  const width = machineObservables.length;
  return cells(prepared, { nets, netBase: row * netCount, machine, machineBase: row * width });
}

const rowsOf = ({ table }: PreparedBoard, effect: number): number[] => {
  const from = table.firstRow[effect] ?? 0;
  return Array.from({ length: (table.firstRow[effect + 1] ?? 0) - from }, (_, i) => from + i);
};

/** Effects drawn two by two, until `count` pairs fit. */
function drawPairs(
  prepared: PreparedBoard,
  count: number,
  seed: number,
  fits: (a: number, b: number) => boolean,
): [number, number][] {
  const random = createRandom(seed);
  const effectCount = prepared.list.effects.length;
  const pairs: [number, number][] = [];
  while (pairs.length < count) {
    const a = 1 + random.below(effectCount - 1);
    const b = 1 + random.below(effectCount - 1);
    if (a !== b && fits(a, b)) pairs.push([a, b]);
  }
  return pairs;
}

const settingOf = (prepared: PreparedBoard, solved: SolvedCase): PairSetting => ({
  space: solved.space,
  timeline: solved.timeline,
  singles: solved.singles,
  arising: () => [],
  settler: prepared.pairSettler,
});

describe.each(boards)("pairs of effects on %s", (id) => {
  const prepared = preparedBoard(id);
  const { pairSettler, list } = prepared;

  it("that can meet show what a fresh settling of both shows", () => {
    for (const [a, b] of drawPairs(prepared, 25, 7, (x, y) => !pairSettler.apart(x, y))) {
      const changes = [
        ...(list.effects[Math.min(a, b)]?.changes ?? []),
        ...(list.effects[Math.max(a, b)]?.changes ?? []),
      ];
      const fresh = settleFresh(prepared, changes);
      const joint = pairSettler.rows(a, b);
      const where = `${list.effects[a]?.key} and ${list.effects[b]?.key}`;
      expect(
        joint.map(({ share }) => share),
        where,
      ).toEqual(fresh.map(({ share }) => share));
      for (const [r, row] of joint.entries())
        expect(cells(prepared, row.view), where).toEqual(cells(prepared, fresh[r]?.view ?? row.view));
    }
    pairSettler.release();
  });

  it("that cannot meet show both effects side by side", () => {
    const healthy = tableRow(prepared, 0);
    for (const [a, b] of drawPairs(prepared, 150, 8, (x, y) => pairSettler.apart(x, y))) {
      const joint = pairSettler.rows(a, b);
      const [ofA, ofB] = [rowsOf(prepared, a), rowsOf(prepared, b)];
      const where = `${list.effects[a]?.key} and ${list.effects[b]?.key}`;
      expect(joint.length, where).toBe(Math.max(ofA.length, ofB.length));
      expect(Math.min(ofA.length, ofB.length), where).toBe(1);
      for (const [r, row] of joint.entries()) {
        const first = tableRow(prepared, ofA[ofA.length > 1 ? r : 0] ?? 0);
        const second = tableRow(prepared, ofB[ofB.length > 1 ? r : 0] ?? 0);
        const sideBySide = healthy.map((value, i) => (first[i] === value ? second[i] : first[i]));
        expect(cells(prepared, row.view), where).toEqual(sideBySide);
      }
    }
    pairSettler.release();
  });

  it("are remembered whichever of the two comes first", () => {
    const [[a, b] = [1, 2]] = drawPairs(prepared, 1, 9, () => true);
    const rows = pairSettler.rows(a, b);
    const { settled } = pairSettler;
    expect(pairSettler.rows(b, a)).toBe(rows);
    expect(pairSettler.settled).toBe(settled);
    pairSettler.release();
  });

  it("leave the board healthy behind them", () => {
    const { engine } = prepared.circuit;
    pairSettler.rows(3, 5);
    pairSettler.release();
    expect(engine.processorState).toBe("running");
    expect([...settleFresh(prepared, [])].map(({ view }) => cells(prepared, view))).toEqual([
      tableRow(prepared, 0),
    ]);
  });
});

describe("the weight of a pair", () => {
  const prepared = preparedBoard("merrow");
  const log: TypedEntry[] = [
    entry.symptom("keys-work"),
    entry.symptom("tape-fails"),
    entry.volts("rail:-12V", -0.2),
    entry.probe("TAPE READ", "low"),
    { kind: "reading", at: "supply", with: "multimeter", shows: "low" },
    { kind: "warmed", result: "unchanged" },
    { kind: "swap", part: "U45", result: "unchanged" },
    entry.probe("TAPE READ", "pulsing", { when: "cold" }),
  ];
  const solved = solveCase(prepared, caseOf(log), { candidates: 40, settle: 200 });
  const setting = settingOf(prepared, solved);
  const candidates = solved.space.faults.flatMap((fault, f): Candidate[] => [
    { fault, hypothesis: hypothesisOfFault(f) },
  ]);
  const random = createRandom(77);
  const draw = (fits: (a: Candidate, b: Candidate) => boolean, count: number): [Candidate, Candidate][] => {
    const drawn: [Candidate, Candidate][] = [];
    for (let tries = 0; drawn.length < count && tries < 200_000; tries += 1) {
      const a = candidates[random.below(candidates.length)];
      const b = candidates[random.below(candidates.length)];
      if (a !== undefined && b !== undefined && a !== b && fits(a, b)) drawn.push([a, b]);
    }
    return drawn;
  };

  it("combined from single results is that of the joint settling", () => {
    const pairs = draw((a, b) => combines(setting, a, b), 150);
    expect(pairs).toHaveLength(150);
    for (const [a, b] of pairs) {
      const combined = scorePair(setting, a, b, true);
      const together = scorePair(setting, a, b, false);
      const where = `${a.fault.id} and ${b.fault.id}`;
      expect(combined.logWeight, where).toBeCloseTo(together.logWeight, 9);
      expect(combined.presentFirst, where).toBeCloseTo(together.presentFirst, 9);
      expect(combined.presentSecond, where).toBeCloseTo(together.presentSecond, 9);
    }
    prepared.pairSettler.release();
  });

  it("is not combined where an observation depends on both, though they cannot meet", () => {
    // Warming makes the one show as well as the other.
    const pairs = draw(
      (a, b) =>
        a.fault.manifestation === "warm-only" &&
        b.fault.manifestation === "warm-only" &&
        prepared.pairSettler.apart(a.fault.effect, b.fault.effect),
      3,
    );
    expect(pairs).toHaveLength(3);
    for (const [a, b] of pairs) expect(combines(setting, a, b)).toBe(false);
  });

  it("is that of a fresh settling, scored from the definition", () => {
    const simple = ({ fault }: Candidate): boolean =>
      fault.site === "part" && fault.mode !== "wrong-part" && fault.manifestation === "permanent";
    const steady = ({ fault }: Candidate): boolean =>
      fault.site === "part" && fault.mode !== "wrong-part" && rowsOf(prepared, fault.effect).length === 1;
    const pairs = [
      ...draw((a, b) => simple(a) && simple(b) && !combines(setting, a, b), 8),
      ...draw(
        (a, b) =>
          steady(a) &&
          steady(b) &&
          prepared.pairSettler.rows(a.fault.effect, b.fault.effect).length === 1 &&
          a.fault.manifestation !== "permanent" &&
          b.fault.manifestation !== "permanent",
        8,
      ),
    ];
    for (const [a, b] of pairs) {
      const scored = scorePair(setting, a, b, false);
      const [first, second] = a.hypothesis < b.hypothesis ? [a, b] : [b, a];
      const odds = [first, second].map(({ hypothesis }) => solved.space.odds[hypothesis] ?? 0);
      const naive = weighNaively(prepared, solved.timeline, [first.fault, second.fault], odds);
      const where = `${first.fault.id} and ${second.fault.id}`;
      expect(scored.logWeight, where).toBeCloseTo(naive.logWeight, 9);
      expect(scored.presentFirst, where).toBeCloseTo(naive.present[0] ?? 0, 9);
      expect(scored.presentSecond, where).toBeCloseTo(naive.present[1] ?? 0, 9);
    }
    prepared.pairSettler.release();
  });

  it("names the lower hypothesis first", () => {
    for (const { first, second } of solved.pairs.pairs) expect(first).toBeLessThan(second);
  });
});

describe("what is left out", () => {
  // Small enough to look at every pair: three gates in a chain, two of them with a second input from outside.
  const prepared = preparedTinyBoard(
    "J1:connector 1=B 2=C; U1:74LS00 1=A 2=B 3=X 7=GND 14=+5V; U2:74LS00 1=X 2=C 3=Y 7=GND 14=+5V; U3:74LS04 1=Y 2=Z 7=GND 14=+5V; R1:resistor 1=+5V 2=A",
    { steady: { B: "pulsing", C: "high" } },
  );
  const logs: readonly (readonly TypedEntry[])[] = [
    [entry.probe("Z", "low"), entry.probe("X", "pulsing")],
    [entry.probe("A", "low"), entry.probe("Z", "high"), entry.probe("Y", "low")],
    [
      { kind: "reading", at: "net:+5V", with: "multimeter", ohms: 2 },
      entry.probe("Z", "floating"),
      entry.probe("A", "high"),
    ],
  ];

  it.each(logs.map((log, i) => [i, log] as const))("is bounded from above, log %d", (_, log) => {
    const all = { candidates: 100_000, settle: 1_000_000 };
    const full = solveCase(prepared, caseOf(log), all);
    const setting = settingOf(prepared, full);
    const total = logSum(full.singles.logWeight);
    // Every pair of one fault for each effect and place, looked at one by one.
    const seen = new Set<string>();
    const candidates = full.space.faults.flatMap((fault, f): Candidate[] => {
      const key = `${fault.effect}/${fault.part}/${fault.site}/${fault.manifestation}`;
      if (seen.has(key)) return [];
      seen.add(key);
      return [{ fault, hypothesis: hypothesisOfFault(f) }];
    });
    const shares = new Map<string, number>();
    for (const [i, a] of candidates.entries())
      for (const b of candidates.slice(i + 1)) {
        const pair = scorePair(setting, a, b, false);
        shares.set(`${pair.first}/${pair.second}`, Math.exp(pair.logWeight - total));
      }
    expect(shares.size).toBeGreaterThan(1000);
    for (const settle of [0, 3, 30, 300]) {
      const few = solveCase(prepared, caseOf(log), { candidates: 100_000, settle });
      expect(few.pairs.settledTogether).toBeLessThanOrEqual(settle);
      const looked = new Set(few.pairs.pairs.map(({ first, second }) => `${first}/${second}`));
      let missed = 0;
      for (const [key, share] of shares) if (!looked.has(key)) missed += share;
      expect(few.pairs.leftOut).toBeGreaterThanOrEqual(missed);
    }
    prepared.pairSettler.release();
  });

  it("shrinks as more pairs are looked at", () => {
    const leftOut = [0, 10, 100, 1000].map(
      (settle) => solveCase(prepared, caseOf(logs[1] ?? []), { candidates: 60, settle }).pairs.leftOut,
    );
    expect(leftOut).toEqual([...leftOut].sort((a, b) => b - a));
    expect(leftOut[3]).toBeLessThan((leftOut[0] ?? 0) / 2);
  });
});
