import { describe, expect, it } from "vitest";
import {
  caseOf,
  entry,
  plainSpace,
  preparedBoard,
  type TypedEntry,
} from "../../../../test/support/prepared-board.js";
import { shownChance } from "../evidence/evidence.js";
import { readTimeline } from "../evidence/timeline.js";
import { scoreEpochs } from "./likelihoods.js";
import { healthHypothesis, hypothesisOfFault, notInModelHypothesis } from "./space.js";

const prepared = preparedBoard("merrow");
const space = plainSpace(prepared);
const score = (...entries: TypedEntry[]) =>
  scoreEpochs(space, readTimeline(space, caseOf(entries)), new Map());
const faultNamed = (id: string): number => {
  const at = space.faults.findIndex((fault) => fault.id === id);
  if (at < 0) throw new RangeError(`no fault ${id}`);
  return hypothesisOfFault(at);
};
const rowCount = (h: number): number => (space.firstEntry[h + 1] ?? 0) - (space.firstEntry[h] ?? 0);

describe("a crashed processor", () => {
  // The boot EPROM's contents are gone: what the processor then does is anybody's guess.
  const crash = faultNamed("U2:wrong-content");
  const lines = ["A0", "A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8", "A9"];
  const readings = [...lines, ...lines].map((line) => entry.probe(line, "low"));

  it("has several rows", () => {
    expect(rowCount(crash)).toBe(3);
  });

  it("is judged jointly: twenty readings behind it are not twenty proofs", () => {
    const { epochs, items } = score(...readings);
    const joint = epochs[0]?.[crash] ?? 0;
    const apart = (items[0] ?? []).reduce((sum, item) => sum + (item[crash] ?? 0), 0);
    const one = items[0]?.[0]?.[crash] ?? 0;
    expect(items[0]).toHaveLength(20);
    expect(apart).toBeCloseTo(20 * one, 9);
    // A halted processor alone explains standing lines; once that is granted, more of them add no doubt of it.
    const halted = Math.log(space.model.crashModes.halted);
    const { "logic-probe": probe } = space.model.instruments;
    const standsLow = Math.log(probe?.levels.steady?.[0] ?? 0);
    expect(joint).toBeCloseTo(halted + 20 * standsLow, 3);
    expect(joint).toBeGreaterThan(apart + 10);
  });

  it("leaves one reading as it would be by itself", () => {
    const { epochs, items } = score(entry.probe("A0", "low"));
    expect(epochs[0]?.[crash]).toBeCloseTo(items[0]?.[0]?.[crash] ?? 0, 12);
  });

  it("starts afresh when the machine has been changed", () => {
    const swap: TypedEntry = { kind: "swap", part: "U44", result: "changed" };
    const { epochs } = score(entry.probe("A0", "low"), swap, entry.probe("A0", "low"));
    expect(epochs.at(-1)?.[crash]).toBeCloseTo(epochs[0]?.[crash] ?? 0, 12);
  });

  it("ends with its rows weighed by what was seen", () => {
    const { lastEntries } = score(...readings);
    const from = space.firstEntry[crash] ?? 0;
    const rows = lastEntries.subarray(from, from + 3);
    expect(rows.indexOf(Math.max(...rows))).toBe(0);
  });
});

describe("faults that do not always show", () => {
  const reading = (more: Readonly<Record<string, unknown>>): TypedEntry => entry.probe("/RESET", "low", more);
  const mode = "U49:output-stuck-low:4";
  const likelihood = (id: string, more: Readonly<Record<string, unknown>>): number =>
    Math.exp(score(reading(more)).epochs[0]?.[faultNamed(id)] ?? 0);
  const healthy = Math.exp(score(reading({})).epochs[0]?.[healthHypothesis] ?? 0);
  const certain = likelihood(mode, {});

  it("are found by the reading that the permanent one gives", () => {
    expect(certain).toBeGreaterThan(50 * healthy);
  });

  it.each(["cold", "warm"] as const)("mix with health as their condition has it: %s", (when) => {
    for (const [suffix, time] of [
      ["", 0],
      [":warm-only", 1],
      [":intermittent", 2],
    ] as const) {
      const chance = shownChance(time, when, space.model);
      expect(likelihood(`${mode}${suffix}`, { when })).toBeCloseTo(
        chance * certain + (1 - chance) * healthy,
        12,
      );
    }
  });

  it("show warm rather than cold, or now and then", () => {
    const { warmAppears, intermittentShown } = space.model;
    expect(shownChance(0, "unpowered", space.model)).toBe(1);
    expect(shownChance(1, "warm", space.model)).toBe(warmAppears);
    expect(shownChance(1, "cold", space.model)).toBeLessThanOrEqual(0.05);
    expect(shownChance(1, "unpowered", space.model)).toBeLessThanOrEqual(0.05);
    expect(shownChance(2, "warm", space.model)).toBe(intermittentShown);
    expect(shownChance(2, "cold", space.model)).toBe(intermittentShown);
  });
});

describe("a reading that is remembered", () => {
  it("scores as it did the first time", () => {
    const memory = new Map();
    const timeline = readTimeline(space, caseOf([entry.symptom("no-picture"), entry.probe("A0", "low")]));
    const first = scoreEpochs(space, timeline, memory);
    // The symptom, the complaint that it makes, and the reading.
    expect(memory.size).toBe(3);
    expect(scoreEpochs(space, timeline, memory)).toEqual(first);
    expect(memory.size).toBe(3);
  });

  it("is forgotten when hundreds have come after it, without changing anything", () => {
    const memory = new Map();
    const many = Array.from({ length: 450 }, (_, i) => entry.probe("A0", "low", { errorRate: i / 1000 }));
    const timeline = readTimeline(space, caseOf(many));
    const first = scoreEpochs(space, timeline, memory);
    expect(memory.size).toBeLessThanOrEqual(400);
    const again = scoreEpochs(space, timeline, memory);
    expect(again.epochs).toEqual(first.epochs);
  });
});

describe("the fault that is none of the model's", () => {
  it("half follows health and half says nothing", () => {
    const { epochs } = score(entry.symptom("no-beep"), entry.probe("A0", "pulsing"));
    const observable = space.model.observables.find(({ id }) => id === "sound");
    const silent = observable?.states["beeps"]?.[1] ?? 0;
    const pulsing = space.model.instruments["logic-probe"]?.levels.pulsing?.[2] ?? 0;
    const complaint = 0.5 / 2 + 0.5 * space.model.errors.complaintGroundless;
    expect(epochs[0]?.[notInModelHypothesis]).toBeCloseTo(
      Math.log((0.5 / 3 + 0.5 * silent) * complaint * (0.5 / 4 + 0.5 * pulsing)),
      12,
    );
  });
});
