import { describe, expect, it } from "vitest";
import { caseOf, entry, preparedBoard, type TypedEntry } from "../../../../test/support/prepared-board.js";
import { freeInstruments, instruments } from "../case/case.js";
import { takenSince } from "../case/since.js";
import { findFaults, usualPairLimits } from "../find.js";
import { readingOfStep } from "../practice/step.js";
import type { PreparedBoard } from "../prepare.js";
import type { FindResult, NextStep } from "../result/result.js";
import { solveCase } from "../solve.js";

const pellow = preparedBoard("pellow-16");
const merrow = preparedBoard("merrow");
const everything = instruments.filter((name) => name !== "test-program");

type ReadingStep = Extract<NextStep, { action: "reading" }>;

interface Setting {
  readonly instruments?: readonly string[];
  readonly spares?: readonly string[];
  readonly steps?: number;
}

function plan(prepared: PreparedBoard, entries: readonly TypedEntry[], setting: Setting = {}): FindResult {
  const { steps = 8, ...more } = setting;
  return findFaults(prepared, caseOf(entries, { instruments: everything, ...more }), { steps });
}

const readings = (result: FindResult): ReadingStep[] =>
  result.next.filter((step) => step.action === "reading");

/** Logs of different kinds: nothing yet, symptoms of the whole machine, of a part of it. */
const logs: readonly (readonly [string, PreparedBoard, readonly TypedEntry[]])[] = [
  ["pellow-16, nothing logged", pellow, []],
  ["pellow-16, even field, no beep", pellow, [entry.symptom("blank-in-border"), entry.symptom("no-beep")]],
  ["merrow, some keys dead", merrow, [entry.symptom("some-keys-dead", { lines: ["KEY COLUMN 3"] })]],
];

describe.each(logs)("the plan for %s", (_, prepared, log) => {
  // Planning is the slow part: one plan serves several checks.
  const passed = plan(prepared, [entry.gate, ...log], { steps: 30 });

  it("asks for the supply gate first and for nothing that needs power before it", () => {
    const { next, stop, supplyGate } = plan(prepared, log);
    expect(supplyGate).toEqual({ state: "open", implied: false });
    expect(next[0]).toMatchObject({ action: "gate", id: "supply" });
    expect(stop).toBe(false);
    for (const step of next.slice(1)) {
      expect(step.action).toBe("reading");
      if (step.action === "reading") expect(step.powered, step.id).toBe(false);
    }
  });

  it("uses powered readings and repairs once it is passed", () => {
    expect(passed.next.some((step) => step.action === "gate")).toBe(false);
    expect(passed.next.some((step) => step.action === "reading" && step.powered)).toBe(true);
  });

  it("says what each outcome would mean, with probabilities that sum to 1", () => {
    for (const step of passed.next) {
      if (step.action === "gate") continue;
      const total = step.outcomes.reduce((sum, outcome) => sum + outcome.probability, 0);
      // Outcomes below 0.2 % are not listed.
      expect(total, step.id).toBeGreaterThan(step.action === "repair" ? 0.999999 : 0.9);
      expect(total, step.id).toBeLessThan(1.000001);
      expect(step.minutes, step.id).toBeGreaterThan(0);
      expect(step.expectedMinutes, step.id).toBeGreaterThanOrEqual(step.minutes);
      expect(step.informationBits, step.id).toBeGreaterThanOrEqual(-1e-9);
      for (const { leads } of step.outcomes)
        for (const lead of leads) expect(lead.probability, step.id).toBeLessThan(1.000001);
    }
  });

  it("orders its steps by what they are expected to cost in the end", () => {
    const costs = passed.next.flatMap((step) => (step.action === "gate" ? [] : [step.expectedMinutes]));
    for (const [i, cost] of costs.entries())
      if (i > 0) expect(cost).toBeGreaterThan((costs[i - 1] ?? 0) - 1e-6);
  });
});

describe("the plan", () => {
  const log = logs[1]?.[2] ?? [];

  it("goes on asking for the gate after it failed", () => {
    const { next } = plan(pellow, [{ ...entry.gate, state: "failed" }, ...log]);
    expect(next[0]?.action).toBe("gate");
    for (const step of next.slice(1)) expect("powered" in step && step.powered).toBe(false);
  });

  it.each([
    [[]],
    [["multimeter"]],
    [["logic-probe", "chip-tester"]],
    [["bench-supply"]],
    [["oscilloscope", "twin"]],
  ])("uses only the instruments owned: %o", (owned) => {
    const { next } = plan(pellow, [entry.gate, ...log], { instruments: owned, steps: 60 });
    const allowed = new Set<string>([...owned, ...freeInstruments, "none"]);
    expect(next.length).toBeGreaterThan(5);
    for (const step of next)
      if (step.action === "reading")
        expect(allowed.has(step.with), `${step.id} with ${step.with}`).toBe(true);
  });

  it("does without what cannot be done", () => {
    const logged = caseOf([entry.gate, ...log], { instruments: everything });
    const ids = (excluded: readonly string[]): string[] =>
      findFaults(pellow, logged, { steps: 2000, excluded }).next.map(({ id }) => id);
    const all = ids([]);
    const out = [all[0] ?? "", all.find((id) => id.startsWith("replace:")) ?? ""];
    expect(new Set(out).size).toBe(2);
    const rest = ids(out);
    expect(rest.length).toBeGreaterThan(20);
    for (const id of out) expect(rest).not.toContain(id);
  });

  it("does not propose a reading again that was taken and told", () => {
    const logged: TypedEntry[] = [entry.gate, ...log];
    const { space } = solveCase(pellow, caseOf(logged), usualPairLimits);
    let steps = readings(plan(pellow, logged, { steps: 30 }));
    for (let round = 0; round < 3 && steps[0] !== undefined; round += 1) {
      const [step] = steps;
      logged.push(readingOfStep(space, step).entryOf(step.outcomes[0]?.shows ?? ""));
      steps = readings(plan(pellow, logged, { steps: 30 }));
      expect(steps.map(({ id }) => id)).not.toContain(step.id);
    }
  });

  it.each([
    [{ kind: "reading", at: "u20.14", with: "logic-probe", shows: "low" }, "logic-probe:MD3"],
    [{ kind: "reading", at: "rail:-5V", with: "multimeter", volts: -5 }, "rail:-5"],
    [{ kind: "reading", at: "U17.1", with: "multimeter", volts: -5 }, "rail-at:U17.1"],
    [{ kind: "reading", at: "rail:+5", with: "oscilloscope", rippleVolts: 0.01 }, "ripple:+5"],
    [{ kind: "reading", at: "net:+5", with: "multimeter", ohms: 50 }, "short:+5"],
    [{ kind: "reading", at: "U18.3 - U17.3", with: "multimeter", shows: "rings" }, "continuity:U17.3-U18.3"],
    [{ kind: "reading", at: "supply", with: "bench-supply", amperes: 1 }, "current"],
    [{ kind: "reading", at: "board", with: "thermometer", shows: "U20" }, "heat-sweep"],
    [{ kind: "reading", at: "u49", with: "chip-tester", shows: "pass" }, "tester:U49"],
    [{ kind: "piggyback", part: "u20", result: "unchanged" }, "piggyback:U20"],
    [{ kind: "removed", part: "U5", at: "U17.2", shows: "freed" }, "removal:U5:D0"],
    [{ kind: "removed", part: "u20.14", at: "net:MD3", shows: "freed" }, "lifted:U20.14"],
    [{ kind: "flexed", result: "unchanged" }, "flexed"],
  ] as const)("knows that %o was taken", (taken, id) => {
    expect(takenSince(pellow.circuit, caseOf([taken]))).toContain(id);
    const swap = (result: string): TypedEntry => ({ kind: "swap", part: "U5", result });
    expect(takenSince(pellow.circuit, caseOf([taken, swap("unchanged")]))).toContain(id);
    expect(takenSince(pellow.circuit, caseOf([taken, swap("changed")]))).not.toContain(id);
  });
});

describe("a forecast", () => {
  it.each([
    ["pellow-16", pellow, logs[1]?.[2] ?? []],
    ["merrow", merrow, logs[2]?.[2] ?? []],
  ] as const)("on %s is what logging the reading then finds", (_, prepared, symptoms) => {
    const log = [entry.gate, ...symptoms];
    const before = solveCase(prepared, caseOf(log), usualPairLimits);
    const steps = readings(plan(prepared, log, { steps: 6 }));
    expect(steps.length).toBeGreaterThan(2);
    for (const step of steps) {
      const found = step.outcomes.map(({ shows }) => {
        const logged = [...log, readingOfStep(before.space, step).entryOf(shows)];
        const after = solveCase(prepared, caseOf(logged), usualPairLimits);
        return { after, weight: Math.exp(after.beliefs.logEvidence) };
      });
      // Which pairs are looked at depends on the log, so the evidences of all outcomes sum to one only roughly.
      const total = found.reduce((sum, { weight }) => sum + weight, 0);
      expect(Math.abs(total / Math.exp(before.beliefs.logEvidence) - 1), step.id).toBeLessThan(0.15);
      for (const [o, { shows, probability, leads }] of step.outcomes.entries()) {
        const { after, weight } = found[o] ?? {};
        if (after === undefined || weight === undefined) throw new RangeError("no such outcome");
        const where = `${step.id} ${shows}`;
        // The plan leaves out the unlikeliest half percent and a machine with nothing wrong, and it sees only the pairs
        // of now: a reading that acquits the likeliest single faults lets pairs in that were not worth a look before.
        expect(Math.abs(weight / total - probability), where).toBeLessThan(0.1);
        const [lead] = leads;
        const part = after.byPart.find(
          (one) => prepared.circuit.wiring.parts[one.part]?.part.ref === lead?.part,
        );
        const still = 1 - after.beliefs.nothingLeft;
        if (probability > 0.1 && lead !== undefined)
          expect(Math.abs((part?.probability ?? 0) / still - lead.probability), where).toBeLessThan(0.12);
      }
    }
  });
});

describe("stopping to measure", () => {
  const stuck: TypedEntry[] = [
    entry.gate,
    entry.symptom("random-characters"),
    entry.probe("U20.14", "low"),
    { kind: "reading", at: "U20.14", with: "oscilloscope", shows: "low" },
    { kind: "piggyback", part: "U20", result: "unchanged" },
    { kind: "removed", part: "U20.14", at: "net:MD3", shows: "freed" },
  ];

  it("happens when one part is all but certain: it is to be replaced", () => {
    const { suspects, next, stop } = plan(pellow, stuck);
    expect(suspects[0]?.part).toBe("U20");
    expect(suspects[0]?.probability).toBeGreaterThan(0.9);
    expect(stop).toBe(true);
    expect(next[0]).toMatchObject({ action: "repair", part: "U20", repair: "replace", effort: "soldered" });
    const [fixed, unchanged] = next[0]?.action === "repair" ? next[0].outcomes : [];
    expect(fixed?.probability).toBeGreaterThan(0.8);
    expect(unchanged?.leads[0]?.part).not.toBe("U20");
  });

  it("does not happen while many parts may be it, but the best repair is listed", () => {
    const { stop, next } = plan(pellow, [
      entry.gate,
      entry.symptom("no-beep"),
      entry.symptom("blank-in-border"),
    ]);
    expect(stop).toBe(false);
    expect(next[0]?.action).toBe("reading");
    expect(next.some((step) => step.action === "repair")).toBe(true);
  });

  it("puts a chip on top only of parts whose type is in the drawer, if the drawer is listed", () => {
    const onTop = (setting: Setting): string[] =>
      plan(pellow, [entry.gate, entry.symptom("random-characters")], {
        ...setting,
        steps: 2000,
      }).next.flatMap((step) => ("id" in step && step.id.startsWith("piggyback:") ? [step.id] : []));
    expect(onTop({})).toContain("piggyback:U20");
    expect(onTop({ spares: ["4116"] })).toContain("piggyback:U20");
    expect(onTop({ spares: ["2732"] })).toEqual(["piggyback:U15", "piggyback:U16"]);
  });

  it("costs less with a spare in the drawer", () => {
    const doubtful: TypedEntry[] = [
      entry.gate,
      entry.symptom("random-characters"),
      entry.symptom("no-beep"),
      { kind: "reading", at: "U15", with: "chip-tester", shows: "fail" },
    ];
    const swap = (spares: readonly string[]) => {
      const { next } = plan(pellow, doubtful, { spares, steps: 2000 });
      const step = next.find((one) => one.id === "replace:U15");
      if (step?.action !== "repair") throw new Error("U15 is not to be swapped");
      return step;
    };
    const [spare, bought] = [swap(["2732"]), swap([])];
    expect(spare.effort).toBe("socketed");
    expect(spare.money).toBe(0);
    expect(bought.money).toBeGreaterThan(0);
    expect(spare.expectedMinutes).toBeLessThan(bought.expectedMinutes);
  });

  it("does not come with a repair before the gate", () => {
    const symptoms = [entry.symptom("some-keys-dead", { lines: ["KC5"] })];
    const { next } = plan(pellow, symptoms, { steps: 40 });
    expect(next.some((step) => step.action === "repair")).toBe(false);
  });
});

describe("cautions", () => {
  it("stand with the gate, with soldering and with the supply", () => {
    const gate = plan(pellow, []).next[0];
    if (gate?.action !== "gate") throw new Error("no gate");
    expect(gate.cautions.join(" ")).toMatch(/mains/);
    expect(gate.cautions.join(" ")).toMatch(/qualified/);
    const steps = plan(
      pellow,
      [
        entry.gate,
        entry.symptom("lamp-off"),
        entry.volts("rail:RAW +9", 9),
        { kind: "reading", at: "net:+5", with: "multimeter", ohms: 60 },
        entry.volts("rail:+5 OUT", 0),
        { kind: "reading", at: "supply", with: "multimeter", shows: "low" },
      ],
      { steps: 2000, instruments: ["multimeter"] },
    ).next;
    for (const step of steps) {
      if (step.action !== "repair") continue;
      expect(step.cautions.length, step.id).toBeGreaterThan(0);
      if (step.repair === "replace" && step.effort === "soldered")
        expect(step.cautions.join(" "), step.id).toMatch(/fumes/);
      if (/^(VR|BR|C[123]$|F)/.test(step.part)) expect(step.cautions.join(" "), step.id).toMatch(/Reservoir/);
    }
    expect(steps.some((step) => step.action === "repair" && step.part === "VR1")).toBe(true);
  });
});

describe("the self-test in ROM", () => {
  const log = [entry.gate, entry.symptom("random-characters")];
  const isSelfTest = (step: NextStep): boolean => step.action === "reading" && step.id === "self-test";

  it("is proposed to whoever owns a chip programmer, with what each verdict would mean", () => {
    const { next } = plan(merrow, log, { instruments: ["multimeter", "chip-programmer"], steps: 40 });
    const step = next.find(isSelfTest);
    expect(step).toMatchObject({ at: "memory", with: "chip-programmer" });
    if (step?.action !== "reading") throw new Error("no self-test");
    expect(step.outcomes.map(({ shows }) => shows)).toEqual(expect.arrayContaining(["U33", "silent"]));
  });

  it("is not proposed without one, nor again once it has run", () => {
    const owned = { instruments: ["multimeter", "chip-programmer"], steps: 40 };
    const run = { kind: "memory-test", by: "self-test", verdict: "good" } as const;
    expect(plan(merrow, log, { ...owned, instruments: ["multimeter"] }).next.some(isSelfTest)).toBe(false);
    expect(plan(merrow, [...log, run], owned).next.some(isSelfTest)).toBe(false);
  });
});
