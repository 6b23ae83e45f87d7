import { describe, expect, it } from "vitest";
import { weighNaively } from "../../../../test/naive/posterior.naive.js";
import {
  caseOf,
  entry,
  preparedBoard,
  preparedTinyBoard,
  type TypedEntry,
} from "../../../../test/support/prepared-board.js";
import { createRandom } from "../../base/random.js";
import type { Fault } from "../faults/fault.js";
import type { PreparedBoard } from "../prepare.js";
import { type SolvedCase, solveCase } from "../solve.js";
import { healthHypothesis, hypothesisOfFault, notInModelHypothesis } from "./space.js";

const usual = { candidates: 60, settle: 60 };
const solve = (prepared: PreparedBoard, ...entries: TypedEntry[]): SolvedCase =>
  solveCase(prepared, caseOf(entries), usual);

const pellowLog: TypedEntry[] = [
  entry.symptom("blank-in-border", { when: "warm" }),
  entry.symptom("no-beep"),
  entry.probe("U5.39", "pulsing", { when: "cold" }),
  entry.volts("rail:+5", 4.93),
  { kind: "swap", part: "U5", result: "unchanged" },
  entry.probe("D3", "low", { errorRate: 0.1 }),
  { kind: "warmed", result: "appears" },
];
const merrowLog: TypedEntry[] = [
  entry.symptom("random-characters"),
  entry.symptom("blind-typing-dead", { when: "cold" }),
  entry.probe("/ROM OE", "high"),
  { kind: "reading", at: "supply", with: "multimeter", shows: "normal" },
  { kind: "reading", at: "U1", with: "eye", shows: "clean" },
];

/** Faults drawn at random, some of each manifestation, none of a kind that own work may make. */
function drawFaults(solved: SolvedCase, count: number, seed: number): { fault: Fault; h: number }[] {
  const random = createRandom(seed);
  const { faults } = solved.space;
  const drawn: { fault: Fault; h: number }[] = [];
  while (drawn.length < count) {
    const f = random.below(faults.length);
    const fault = faults[f];
    if (fault === undefined || fault.site !== "part" || fault.mode === "wrong-part") continue;
    drawn.push({ fault, h: hypothesisOfFault(f) });
  }
  return drawn;
}

describe.each([
  ["pellow-16", pellowLog, 11],
  ["merrow", merrowLog, 12],
] as const)("the weights of single faults on %s", (id, log, seed) => {
  const prepared = preparedBoard(id);
  const solved = solve(prepared, ...log);

  it("are those of a fresh settling, scored from the definition", () => {
    for (const { fault, h } of drawFaults(solved, 24, seed)) {
      const odds = solved.space.odds[h] ?? 0;
      const naive = weighNaively(prepared, solved.timeline, [fault], [odds]);
      expect(solved.singles.logWeight[h], fault.id).toBeCloseTo(naive.logWeight, 9);
      expect(solved.singles.present[h], fault.id).toBeCloseTo(naive.present[0] ?? 0, 9);
    }
  });

  it("and of pairs form shares that sum to 1", () => {
    const { single, pair } = solved.beliefs;
    const total = [...single, ...pair].reduce((sum, share) => sum + share, 0);
    expect(total).toBeCloseTo(1, 12);
    expect(Math.min(...single, ...pair)).toBeGreaterThanOrEqual(0);
  });

  it("give each fault its chance of being there now, pairs included", () => {
    const { beliefs, singles, pairs, space } = solved;
    const expected = beliefs.single.map((share, h) => share * (singles.present[h] ?? 0));
    expected[healthHypothesis] = 0;
    expected[notInModelHypothesis] = 0;
    for (const [i, pair] of pairs.pairs.entries()) {
      const share = beliefs.pair[i] ?? 0;
      expected[pair.first] = (expected[pair.first] ?? 0) + share * pair.presentFirst;
      expected[pair.second] = (expected[pair.second] ?? 0) + share * pair.presentSecond;
    }
    for (let h = 0; h < space.odds.length; h += 1)
      expect(beliefs.faultNow[h]).toBeCloseTo(expected[h] ?? 0, 12);
    // Whatever is believed: no fault left, one left, or two left.
    const two = pairs.pairs.reduce(
      (sum, pair, i) => sum + (beliefs.pair[i] ?? 0) * pair.presentFirst * pair.presentSecond,
      0,
    );
    const anyFault = beliefs.faultNow.reduce((sum, p) => sum + p, 0) - two;
    expect(anyFault + beliefs.nothingLeft + beliefs.notInModel).toBeCloseTo(1, 9);
  });

  it("give each part the chance that any of its faults is there", () => {
    const { byPart, beliefs } = solved;
    for (const belief of byPart) {
      const sum = belief.faults.reduce((total, { probability }) => total + probability, 0);
      expect(belief.probability).toBeLessThanOrEqual(sum + 1e-12);
      expect(belief.probability).toBeGreaterThanOrEqual(
        Math.max(...belief.faults.map((f) => f.probability)) - 1e-12,
      );
      for (const { hypothesis, probability } of belief.faults)
        expect(probability).toBe(beliefs.faultNow[hypothesis]);
    }
    const order = byPart.map(({ probability }) => probability);
    expect(order).toEqual([...order].sort((a, b) => b - a));
  });
});

describe("the posterior of a small board", () => {
  // Two gates in a row, a pull-up, a decoupler.
  const prepared = preparedTinyBoard(
    "J1:connector 1=B; U1:74LS00 1=A 2=B 3=Y 7=GND 14=+5V; U2:74LS04 1=Y 2=Z 7=GND 14=+5V; R1:resistor 1=+5V 2=A; C1:capacitor-ceramic 1=+5V 2=GND",
    { steady: { B: "pulsing" } },
  );
  const log = [entry.probe("Y", "high"), entry.probe("A", "high"), entry.probe("Z", "low")];

  it("is, for every fault there is, the share of its weight from the definition", () => {
    const solved = solveCase(prepared, caseOf(log), { candidates: 0, settle: 0 });
    const { space, timeline, beliefs } = solved;
    const weights = space.faults.map((fault, f) =>
      Math.exp(weighNaively(prepared, timeline, [fault], [space.odds[hypothesisOfFault(f)] ?? 0]).logWeight),
    );
    const nothingWrong = space.odds[healthHypothesis] ?? 0;
    const healthy = nothingWrong * Math.exp(weighNaively(prepared, timeline, [], []).logWeight);
    const unknown = (timeline.epochs[0] ?? []).reduce(
      (product, evidence) => product * evidence.notInModel,
      space.odds[notInModelHypothesis] ?? 0,
    );
    const total = weights.reduce((sum, w) => sum + w, healthy + unknown);
    expect(weights.length).toBeGreaterThan(50);
    for (const [f, weight] of weights.entries())
      expect(beliefs.single[hypothesisOfFault(f)]).toBeCloseTo(weight / total, 12);
    expect(beliefs.single[healthHypothesis]).toBeCloseTo(healthy / total, 12);
    expect(beliefs.notInModel).toBeCloseTo(unknown / total, 12);
    const priorTotal = space.odds.reduce((sum, odds) => sum + odds, 0);
    expect(beliefs.logEvidence).toBeCloseTo(Math.log(total / priorTotal), 12);
  });
});

describe("what a swap and a repair say", () => {
  const prepared = preparedBoard("pellow-16");
  const { replacementBad, reseatCures } = prepared.data.model.errors;
  const believed = (ref: string, ...entries: TypedEntry[]) => {
    const solved = solve(prepared, ...entries);
    const part = prepared.circuit.wiring.partIndex.get(ref) ?? -1;
    const belief = solved.byPart.find((one) => one.part === part);
    return { solved, probability: belief?.probability ?? 0, faults: belief?.faults ?? [] };
  };
  const seen = [entry.symptom("random-characters"), entry.symptom("no-beep")];

  it("an unchanged swap clears the part but for a bad replacement, its contacts as reseating does, its joints not", () => {
    const before = believed("U15", ...seen);
    const after = believed("U15", ...seen, { kind: "swap", part: "U15", result: "unchanged" });
    const sum = (list: typeof before.faults, site: string): number =>
      list.filter(({ fault }) => fault.site === site).reduce((s, f) => s + f.probability, 0);
    const oddsOf = (p: number): number => p / (1 - p);
    expect(sum(after.faults, "part")).toBeGreaterThan(0);
    expect(oddsOf(sum(after.faults, "part"))).toBeLessThan(
      2 * replacementBad * oddsOf(sum(before.faults, "part")),
    );
    // The swap has rubbed the contacts as well; what is left of them gains from what was cleared.
    const left = sum(after.faults, "socket") / sum(before.faults, "socket");
    const joints = sum(after.faults, "track") / sum(before.faults, "track");
    expect(joints).toBeGreaterThan(1);
    expect(left / joints).toBeGreaterThan((1 - reseatCures) / 2);
    expect(left / joints).toBeLessThan(1);
  });

  it("a fixed swap leaves, of all faults that always show, next to nothing", () => {
    const { solved } = believed("U15", ...seen, { kind: "swap", part: "U15", result: "fixed" });
    const { beliefs, space } = solved;
    const permanent = space.faults.reduce(
      (sum, fault, f) =>
        sum + (fault.manifestation === "permanent" ? (beliefs.faultNow[hypothesisOfFault(f)] ?? 0) : 0),
      0,
    );
    expect(permanent).toBeLessThan(0.12);
    expect(beliefs.nothingLeft).toBeGreaterThan(0.6);
    expect(beliefs.nothingLeft).toBeGreaterThan(4 * (solved.byPart[0]?.probability ?? 0));
  });

  it("keeps the earlier evidence: faults that stack are found one after the other", () => {
    const first = [
      entry.symptom("random-characters"),
      entry.probe("U20.14", "low"),
      { kind: "reading", at: "U20.14", with: "oscilloscope", shows: "low" },
      entry.probe("U21.14", "pulsing"),
    ];
    const part = (solved: SolvedCase, rank = 0): string =>
      prepared.circuit.wiring.parts[solved.byPart[rank]?.part ?? -1]?.part.ref ?? "";
    const before = believed("U20", ...first);
    expect(part(before.solved)).toBe("U20");
    const afterwards = [
      { kind: "repair", part: "U20", result: "changed" },
      entry.symptom("picture-normal"),
      entry.symptom("start-beep"),
      entry.symptom("some-keys-dead", { lines: ["KC5"] }),
    ];
    const { solved, probability } = believed("U20", ...first, ...afterwards);
    expect(prepared.circuit.wiring.parts[solved.byPart[0]?.part ?? -1]?.part.section).toBe("keyboard");
    expect(solved.byPart[0]?.faults.some(({ fault }) => /KC5|6$|^6/.test(fault.detail))).toBe(true);
    expect(probability).toBeLessThan(0.1);
    // What the first fault showed is still explained by it: without its repair the same symptoms would contradict.
    expect(solved.beliefs.notInModel).toBeLessThan(0.1);
  });
});
