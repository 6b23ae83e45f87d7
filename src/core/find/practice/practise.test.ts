import { describe, expect, it } from "vitest";
import { loadPartTypes } from "../../../../test/boards/support.js";
import { loadFindModel } from "../../../../test/support/board-effects.js";
import { readInstalledFailureData } from "../../../../test/support/failure-data.js";
import { readRepositoryFile } from "../../../../test/support/source-files.js";
import { tinyBoard } from "../../../../test/support/tiny-board.js";
import { createRandom } from "../../base/random.js";
import { findCostsSchema } from "../plan/costs.js";
import { prepareBoard } from "../prepare.js";
import { answer } from "./answer.js";
import { drawFault, type HiddenFault } from "./hidden-fault.js";
import { perturb } from "./perturb.js";
import { Adviser, planPolicy } from "./plan-policy.js";
import { openingEntries, playPolicy, practiceInstruments } from "./play.js";
import { repairStep } from "./policy.js";
import { practise } from "./practise.js";
import { symptomEntry } from "./step.js";
import { usualPolicies } from "./usual-policies.js";
import { createWorld, showsItself } from "./world.js";

/** A machine that shows a clock on its screen by way of two chips; the second is in a socket. */
const text = `
  PSU1:outside-supply 1=GND 2=+5V; C1:capacitor-tantalum 1=+5V 2=GND; D1:led 1=GND 2=LAMP; R1:resistor 1=+5V 2=LAMP;
  X1:oscillator-module 7=GND 8=CLK 14=+5V; U1:74LS04 1=CLK 2=A 3=A 4=B 7=GND 14=+5V;
  U2:74LS04 1=B 2=PIX 3=PIX 4=VIDEO 7=GND 14=+5V; J1:connector 1=VIDEO 2=GND`;
const sections: Readonly<Record<string, "supply" | "clock" | "video">> = {
  PSU1: "supply",
  C1: "supply",
  X1: "clock",
  U1: "video",
  U2: "video",
  J1: "video",
};
const plain = tinyBoard(text, {
  chain: {
    memoryFigure: false,
    lamp: ["+5V", "LAMP"],
    picture: {
      sync: ["A"],
      border: [],
      content: ["B", "PIX"],
      output: ["VIDEO"],
      memory: ["screen"],
      characterBits: [],
      generator: [],
      needsProgram: false,
    },
  },
});
const board = {
  ...plain,
  parts: plain.parts.map((part) => ({
    ...part,
    section: sections[part.ref] ?? part.section,
    ...(part.ref === "U2" ? { socketed: true } : {}),
  })),
};
const model = loadFindModel();
const prepared = prepareBoard(board, {
  types: loadPartTypes(),
  model,
  failure: readInstalledFailureData(),
  costs: findCostsSchema.parse(JSON.parse(readRepositoryFile("data/find/costs.json"))),
});
const world = createWorld(prepared);
// Few pairs: these games hide one fault, and the tests should be quick.
const find = { pairLimits: { candidates: 6, settle: 6 } };
const policies = [planPolicy(new Adviser(prepared, find)), ...usualPolicies];
const play = (seed: number) => practise(prepared, { seed, auto: true, find });

/** The hidden fault with that id. */
function hide(id: string): HiddenFault {
  const fault = world.space.faults.find((one) => one.id === id);
  if (fault === undefined) throw new RangeError(`no fault is called ${id}`);
  const row = world.space.table.firstRow[fault.effect] ?? 0;
  return { world, fault, view: world.space.views[row] ?? world.space.health };
}

describe("a game of practice", () => {
  it("is the same for the same seed", () => {
    const seeds = [1, 2, 3];
    const games = () => seeds.map((seed) => JSON.stringify(play(seed)));
    const first = games();
    expect(games()).toEqual(first);
    expect(new Set(first).size).toBe(seeds.length);
  });

  it("says that the model answered, and ends when the true part is put right", () => {
    for (let seed = 10; seed < 16; seed += 1) {
      const game = play(seed);
      expect(game.answeredBy).toBe("model");
      if (!game.fixed) continue;
      const last = game.path.at(-1);
      expect(last?.answer, `seed ${seed}`).toBe("fixed");
      expect(last?.step.endsWith(`:${game.truth.part}`), `seed ${seed}`).toBe(true);
      expect(game.rank ?? 0, `seed ${seed}`).toBeGreaterThanOrEqual(game.place ?? 0);
    }
  });

  it("is won by the plan on nearly every fault of a small board", () => {
    const games = Array.from({ length: 12 }, (_, i) => play(100 + i));
    expect(games.filter((game) => game.fixed).length).toBeGreaterThanOrEqual(11);
  });

  it.each(policies)("ends under the policy $name", (policy) => {
    for (let seed = 0; seed < 6; seed += 1) {
      const hidden = drawFault(world, createRandom(seed), { by: "even-over-parts", onlyShowing: true });
      const start = {
        prepared,
        instruments: practiceInstruments,
        entries: openingEntries(hidden, createRandom(seed)),
      };
      const played = playPolicy(start, hidden, policy, { random: createRandom(seed), maximumSteps: 500 });
      expect(played.path.length, `seed ${seed}`).toBeLessThan(500);
      expect(played.minutes, `seed ${seed}`).toBeGreaterThan(0);
      const handedOver = played.fixed ? 0 : prepared.data.costs.repairs.giveUp;
      const sum = played.minutes + played.moneyAndRiskMinutes + handedOver;
      expect(played.totalMinutes, `seed ${seed}`).toBeCloseTo(sum);
    }
  });
});

describe("a hidden fault", () => {
  it("is one that shows, and evenly drawn ones reach every part that has such a fault", () => {
    const able = new Set(world.space.faults.filter((f) => showsItself(world.space, f)).map((f) => f.part));
    const drawn = new Set<number>();
    for (let seed = 0; seed < 200; seed += 1) {
      const { fault } = drawFault(world, createRandom(seed), { by: "even-over-parts", onlyShowing: true });
      expect(showsItself(world.space, fault), fault.id).toBe(true);
      drawn.add(fault.part);
    }
    expect(drawn).toEqual(able);
  });

  it("comes by its odds when drawn by prior", () => {
    const random = createRandom(5);
    const showing = world.space.faults.filter((fault) => showsItself(world.space, fault));
    const sumOf = (list: typeof showing) => list.reduce((sum, fault) => sum + fault.odds, 0);
    const supply = prepared.circuit.wiring.partIndex.get("PSU1");
    const expected = sumOf(showing.filter((fault) => fault.part === supply)) / sumOf(showing);
    let found = 0;
    for (let i = 0; i < 2000; i += 1)
      if (drawFault(world, random, { by: "prior", onlyShowing: true }).fault.part === supply) found += 1;
    // Four standard deviations of 2000 draws.
    const spread = 4 * Math.sqrt((expected * (1 - expected)) / 2000);
    expect(Math.abs(found / 2000 - expected)).toBeLessThan(spread);
  });
});

describe("an answer", () => {
  const probe = {
    action: "reading",
    id: "logic-probe:A",
    at: "U1.2",
    with: "logic-probe",
    minutes: 1,
  } as const;
  const stuck = hide("U1:output-stuck-low:2");

  it("follows the fault, with the errors of the instrument and those asked for on top", () => {
    const shareLow = (wrongReadings: number): number => {
      const random = createRandom(3);
      let low = 0;
      for (let i = 0; i < 4000; i += 1)
        if (answer(stuck, probe, random, { wrongReadings }).shows === "low") low += 1;
      return low / 4000;
    };
    const right = model.instruments["logic-probe"]?.levels.low?.[0] ?? 0;
    expect(shareLow(0)).toBeCloseTo(right, 1);
    // A wrong reading is some other outcome; now and then that of an error is turned into the right one.
    const outcomes = 4;
    const wrong = 0.2;
    const expected = right * (1 - wrong) + ((1 - right) * wrong) / (outcomes - 1);
    expect(Math.abs(shareLow(wrong) - expected)).toBeLessThan(4 * Math.sqrt(0.25 / 4000));
  });

  it("to a repair depends on the part and on what the repair puts right", () => {
    const cure = (hidden: HiddenFault, ref: string, kind: "replace" | "reseat" | "resolder"): number => {
      const random = createRandom(8);
      let fixed = 0;
      for (let i = 0; i < 2000; i += 1)
        if (answer(hidden, repairStep(prepared, ref, kind), random).fixed) fixed += 1;
      return fixed / 2000;
    };
    const { replacementBad, reseatCures } = model.errors;
    expect(cure(stuck, "U1", "replace")).toBeCloseTo(1 - replacementBad, 1);
    expect(cure(stuck, "U2", "replace")).toBe(0);
    expect(cure(stuck, "U1", "resolder")).toBe(0);
    const contact = hide("U2:socket:contact-open:1");
    expect(Math.abs(cure(contact, "U2", "reseat") - reseatCures)).toBeLessThan(0.05);
  });

  it("comes as a log entry that can be read back", () => {
    const { entry } = answer(stuck, probe, createRandom(1));
    expect(entry).toMatchObject({ kind: "reading", at: "U1.2", with: "logic-probe" });
    expect(symptomEntry(model, "picture", "dark")).toEqual({ kind: "symptom", what: "no-picture" });
    const unknown = { ...probe, id: "guess:A" };
    expect(() => answer(stuck, unknown, createRandom(1))).toThrow(RangeError);
  });
});

describe("a perturbed world", () => {
  it("is another one for each seed and the same for one", () => {
    expect(perturb(model, 1).model).toEqual(perturb(model, 1).model);
    expect(perturb(model, 1).model).not.toEqual(perturb(model, 2).model);
    expect(perturb(model, 1).factorOf("dram")).not.toBe(perturb(model, 2).factorOf("dram"));
    expect(perturb(model, 1).factorOf("no such family")).toBe(1);
  });

  it("keeps every distribution one and every error rate within a factor of two", () => {
    for (let seed = 0; seed < 10; seed += 1) {
      const other = perturb(model, seed).model;
      const sumOf = (row: readonly number[]) => row.reduce((sum, p) => sum + p, 0);
      const { halted, looping, wild } = other.crashModes;
      expect(halted + looping + wild).toBeCloseTo(1);
      for (const observable of other.observables)
        for (const row of Object.values(observable.states)) expect(sumOf(row)).toBeCloseTo(1);
      for (const instrument of Object.values(other.instruments))
        for (const row of Object.values(instrument.levels)) expect(sumOf(row ?? [])).toBeCloseTo(1);
      for (const [key, rate] of Object.entries(other.errors)) {
        const before = Object.entries(model.errors).find(([name]) => name === key)?.[1] ?? 0;
        const wrong = (p: number) => Math.min(p, 1 - p);
        expect(wrong(rate), key).toBeLessThanOrEqual(2 * wrong(before) + 1e-12);
        expect(wrong(rate), key).toBeGreaterThanOrEqual(Math.min(0.5, 0.5 * wrong(before)) - 1e-12);
      }
    }
  });

  it("weighs faults by its own factors", () => {
    const change = perturb(model, 4);
    const other = createWorld(prepared, change);
    const index = world.space.faults.findIndex((fault) => fault.id === "U1:output-stuck-low:2");
    const factor = change.factorOf("logic-bipolar");
    expect((other.weights[index] ?? 0) / (world.weights[index] ?? 1)).toBeCloseTo(factor);
  });
});
