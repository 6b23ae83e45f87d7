import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  caseOf,
  entry,
  preparedBoard,
  preparedTinyBoard,
  type TypedEntry,
} from "../../../test/support/prepared-board.js";
import { instruments } from "./case/case.js";
import { findFaults } from "./find.js";
import { type PreparedBoard, prepareBoard } from "./prepare.js";
import { eventKinds } from "./priors/events.js";
import type { FindResult } from "./result/result.js";
import { solveCase } from "./solve.js";

const boards = { "pellow-16": preparedBoard("pellow-16"), merrow: preparedBoard("merrow") };
const find = (prepared: PreparedBoard, entries: readonly TypedEntry[], more = {}): FindResult =>
  findFaults(prepared, caseOf(entries, more), { steps: 3 });

describe("the same case", () => {
  const log: TypedEntry[] = [
    entry.gate,
    entry.symptom("random-characters"),
    entry.symptom("no-beep"),
    entry.probe("D3", "low"),
    { kind: "swap", part: "U5", result: "unchanged" },
  ];

  it("gives byte for byte the same result, whatever was asked before and however the board was prepared", () => {
    const prepared = boards["pellow-16"];
    const first = JSON.stringify(find(prepared, log));
    find(prepared, [entry.symptom("lamp-off")], { year: 1999, priorFactors: { U17: 50 } });
    expect(JSON.stringify(find(prepared, log))).toBe(first);
    const afresh = prepareBoard(prepared.board, prepared.data);
    expect(JSON.stringify(find(afresh, log))).toBe(first);
  });

  it("is not changed by notes, photos and struck entries", () => {
    const prepared = boards["pellow-16"];
    const { suspects } = find(prepared, log);
    const noted: TypedEntry[] = [
      ...log,
      { kind: "note", text: "smells of dust" },
      { kind: "photo", file: "a.jpg" },
      entry.symptom("lamp-off"),
      { kind: "strike", entry: 8 },
    ];
    expect(find(prepared, noted).suspects).toEqual(suspects);
  });
});

describe("any log", () => {
  const pick = <T>(list: readonly T[]) => fc.constantFrom(...list);
  /** Entries of every kind on a board; a few of them nonsense. */
  const entriesOf = (prepared: PreparedBoard): fc.Arbitrary<TypedEntry[]> => {
    const { wiring } = prepared.circuit;
    const part = pick([...wiring.parts.map((one) => one.part.ref), "U99"]);
    const pin = pick(wiring.pins.map((one) => `${wiring.parts[one.part]?.part.ref}.${one.number}`));
    const net = pick([...wiring.nets.map((name) => `net:${name}`), "net:NOWHERE"]);
    const rail = pick(prepared.board.rails.map((one) => `rail:${one.net}`));
    const at = fc.oneof(pin, net, rail, part, pick(["supply", "board"]));
    const words = [
      ...["low", "high", "pulsing", "floating", "good", "absent", "short", "normal", "open", "rings", "same"],
      ...["different", "hot", "clean", "damage", "pass", "fail", "named", "purple"],
    ];
    const when = fc.option(pick(["cold", "warm", "unpowered"]), { nil: undefined });
    const result = pick(["fixed", "changed", "unchanged"]);
    const symptom = pick(prepared.data.model.symptoms.map((one) => one.id));
    const defined = (record: Record<string, unknown>): TypedEntry =>
      ({
        ...Object.fromEntries(Object.entries(record).filter(([, value]) => value !== undefined)),
      }) as TypedEntry;
    return fc.array(
      fc
        .oneof(
          fc.record({ kind: fc.constant("symptom"), what: symptom, when }),
          fc.record({ kind: fc.constant("reading"), at, with: pick(instruments), shows: pick(words), when }),
          fc.record({
            kind: fc.constant("reading"),
            at: fc.oneof(pin, net, rail),
            with: fc.constant("multimeter"),
            volts: fc.double({ min: -20, max: 20, noNaN: true }),
            errorRate: fc.option(fc.double({ min: 0, max: 0.5, noNaN: true }), { nil: undefined }),
          }),
          fc.record({ kind: pick(["swap", "reseat", "piggyback"]), part, result }),
          fc.record({ kind: fc.constant("repair"), part, result: fc.option(result, { nil: undefined }) }),
          fc.record({
            kind: fc.constant("removed"),
            part: fc.oneof(part, pin),
            at: net,
            shows: pick(["freed", "unchanged"]),
          }),
          fc.record({ kind: fc.constant("other-supply"), result }),
          fc.record({
            kind: pick(["warmed", "cooled", "flexed"]),
            part: fc.option(part, { nil: undefined }),
            result: pick(["appears", "vanishes", "unchanged"]),
          }),
          fc.record({
            kind: fc.constant("event"),
            what: pick([...eventKinds, "haunted"]),
            part: fc.option(part, { nil: undefined }),
          }),
          fc.record({
            kind: fc.constant("characters"),
            right: pick(["A", "0x20", "zz"]),
            wrong: pick(["I", "@"]),
          }),
          fc.record({
            kind: fc.constant("gate"),
            id: fc.constant("supply"),
            state: pick(["passed", "failed"]),
          }),
          fc.record({ kind: fc.constant("strike"), entry: fc.integer({ min: 1, max: 9 }) }),
        )
        .map(defined),
      { maxLength: 9 },
    );
  };

  const checkResult = (prepared: PreparedBoard, entries: readonly TypedEntry[], steps: number): void => {
    const logged = caseOf(entries, { instruments });
    const solved = solveCase(prepared, logged, { candidates: 20, settle: 20 });
    const shares = [...solved.beliefs.single, ...solved.beliefs.pair];
    expect(shares.every((share) => Number.isFinite(share) && share >= 0)).toBe(true);
    expect(shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 9);
    const result = findFaults(prepared, logged, { steps, pairLimits: { candidates: 20, settle: 20 } });
    for (const { probability, evidence, modes } of result.suspects) {
      expect(probability).toBeGreaterThan(0);
      expect(probability).toBeLessThan(1 + 1e-9);
      expect(modes.length).toBeGreaterThan(0);
      for (const { bits } of evidence) expect(Number.isFinite(bits)).toBe(true);
    }
    for (const share of [result.notInModel, result.nothingLeft]) {
      expect(share).toBeGreaterThanOrEqual(0);
      expect(share).toBeLessThan(1 + 1e-9);
    }
    expect(result.pairs.leftOut).toBeGreaterThanOrEqual(0);
    for (const step of result.next) {
      if (step.action === "gate") continue;
      expect(Number.isFinite(step.expectedMinutes)).toBe(true);
      for (const outcome of step.outcomes) expect(outcome.probability).toBeLessThan(1 + 1e-9);
    }
    for (const problem of result.problems) expect(problem.where.field).toMatch(/^entries\[\d+\]$/);
    JSON.parse(JSON.stringify(result));
  };

  it.each(["pellow-16", "merrow"] as const)("on %s leads to finite probabilities that sum to 1", (id) => {
    fc.assert(
      fc.property(entriesOf(boards[id]), (entries) => checkResult(boards[id], entries, 0)),
      { seed: 4164, numRuns: 25 },
    );
  });

  it("on a small board leads to a plan as well", () => {
    const prepared = preparedTinyBoard(
      "J1:connector 1=B; U1:74LS00 1=A 2=B 3=Y 7=GND 14=+5V; U2:74LS04 1=Y 2=Z 7=GND 14=+5V; R1:resistor 1=+5V 2=A; C1:capacitor-ceramic 1=+5V 2=GND",
      { steady: { B: "pulsing" } },
    );
    fc.assert(
      fc.property(entriesOf(prepared), (entries) => checkResult(prepared, entries, 4)),
      { seed: 4164, numRuns: 60 },
    );
  });
});

describe("prior factors", () => {
  const prepared = boards["pellow-16"];
  const probabilityOf = (result: FindResult, ref: string): number =>
    result.suspects.find((suspect) => suspect.part === ref)?.probability ?? 0;
  const log = [entry.symptom("random-characters")];

  it("on a part shift it", () => {
    const plain = find(prepared, log);
    const more = find(prepared, log, { priorFactors: { U20: 20 } });
    const less = find(prepared, log, { priorFactors: { U20: 0.05 } });
    expect(probabilityOf(more, "U20")).toBeGreaterThan(5 * probabilityOf(plain, "U20"));
    expect(probabilityOf(less, "U20")).toBeLessThan(probabilityOf(plain, "U20"));
    // Its neighbour's share falls only because the whole is one.
    expect(probabilityOf(more, "U21")).toBeLessThan(probabilityOf(plain, "U21"));
  });

  it("on a family shift all of it", () => {
    const plain = find(prepared, log);
    const more = find(prepared, log, { priorFactors: { dram: 20 } });
    for (const ref of ["U17", "U20", "U24"])
      expect(probabilityOf(more, ref), ref).toBeGreaterThan(3 * probabilityOf(plain, ref));
  });

  it("are seen beside the other factors of a part", () => {
    const logged = caseOf(log, { priorFactors: { U20: 20, "logic-bipolar": 2 } });
    const { priors } = solveCase(prepared, logged, { candidates: 2, settle: 0 });
    const own = priors.parts.find(({ ref }) => ref === "U20");
    expect(own?.historyFactor).toMatchObject({ value: 20, overridden: true });
    const family = priors.parts.find(({ ref }) => ref === "U9");
    expect(family?.historyFactor).toMatchObject({ value: 2, overridden: true });
    expect(priors.parts.find(({ ref }) => ref === "U21")?.historyFactor.value).toBe(1);
  });

  it("are refused for what the board does not have, in one sentence", () => {
    const { problems, suspects } = find(prepared, log, { priorFactors: { U2O: 20, drams: 3, dram: 1 } });
    expect(problems.map(({ code, where, hint }) => [code, where.field, hint])).toEqual([
      ["unknown-prior-factor", "priorFactors.U2O", "Did you mean U2?"],
      ["unknown-prior-factor", "priorFactors.drams", "Did you mean dram?"],
    ]);
    expect(suspects).toEqual(find(prepared, log).suspects);
  });

  it("change with the age of the machine", () => {
    const young = solveCase(prepared, caseOf([], { year: 1982 }), { candidates: 2, settle: 0 });
    const old = solveCase(prepared, caseOf([], { year: 2026 }), { candidates: 2, settle: 0 });
    const wear = (solved: typeof young): number =>
      solved.priors.parts.find(({ ref }) => ref === "C1")?.ageFactor.value ?? 0;
    expect(young.priors.ageYears).toBe(1);
    expect(wear(old)).toBeGreaterThan(wear(young));
  });
});
