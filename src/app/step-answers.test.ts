import { describe, expect, it } from "vitest";
import {
  caseOf,
  entry,
  plainSpace,
  preparedBoard,
  type TypedEntry,
} from "../../test/support/prepared-board.js";
import { type CaseEntry, instruments } from "../core/find/case/case.js";
import { takenSince } from "../core/find/case/since.js";
import { readTimeline } from "../core/find/evidence/timeline.js";
import { findFaults } from "../core/find/find.js";
import type { NextStep } from "../core/find/result/result.js";
import { answersOf, entryFor } from "./step-answers.js";
import { cautionsOf } from "./step-cautions.js";

const prepared = preparedBoard("pellow-16");
const space = plainSpace(prepared);
const { model } = prepared.data;

function stepsFor(entries: readonly TypedEntry[]): readonly NextStep[] {
  const logged = caseOf(entries, { instruments });
  return findFaults(prepared, logged, { steps: 400, pairLimits: { candidates: 5, settle: 0 } }).next;
}

/** Logs in which, together, every kind of step is proposed. */
const steps = [
  ...stepsFor([]),
  ...stepsFor([entry.symptom("dead"), entry.gate]),
  ...stepsFor([entry.symptom("blank-in-border"), entry.gate, entry.volts("rail:-5", 0)]),
  ...stepsFor([entry.symptom("wrong-characters"), entry.gate, entry.probe("net:MD3", "low")]),
  ...stepsFor([entry.symptom("no-picture"), entry.symptom("lamp-on"), entry.gate, entry.volts("rail:+5", 5)]),
];
const kindOf = (step: NextStep): string =>
  step.action === "reading" ? (step.id.split(":", 1)[0] ?? "") : step.action;

describe("the answers of a step", () => {
  it("are there for every kind of step that the plan proposes", () => {
    const kinds = new Set(steps.map(kindOf));
    for (const kind of [
      "gate",
      "repair",
      "symptom",
      "logic-probe",
      "oscilloscope",
      "rail",
      "short",
      "ripple",
    ])
      expect([...kinds], kind).toContain(kind);
    for (const step of steps) expect(answersOf(step, model).length, step.id).toBeGreaterThan(1);
  });

  it("can each be put in the log, and the same step is then not proposed again", () => {
    const entries: CaseEntry[] = [];
    const again: string[] = [];
    for (const step of steps) {
      for (const { entry: answer } of answersOf(step, model)) {
        entries.push(answer);
        const isTold = step.action !== "reading" || answer.kind === "symptom";
        const taken = takenSince(prepared.circuit, caseOf([answer]));
        if (!isTold && !taken.has(step.id)) again.push(`${step.id}: ${JSON.stringify(answer)}`);
      }
    }
    expect(again).toEqual([]);
    const { problems } = readTimeline(space, caseOf(entries.slice(0, 5000)));
    expect(problems).toEqual([]);
  });

  it("stand with their forecasts, and a failed repair may also have changed something", () => {
    const repair = steps.find(({ action }) => action === "repair");
    if (repair === undefined) throw new Error("no repair was proposed");
    const answers = answersOf(repair, model);
    expect(answers.map(({ entry: { kind }, forecast }) => [kind, forecast?.shows])).toEqual([
      [answers[0]?.entry.kind, "fixed"],
      [answers[0]?.entry.kind, "unchanged"],
      [answers[0]?.entry.kind, undefined],
    ]);
    expect(answers[2]?.entry).toMatchObject({ result: "changed" });
  });

  it("are refused for a step that no plan makes", () => {
    const reading = steps.find((step) => step.action === "reading" && step.id.startsWith("rail:"));
    if (reading?.action !== "reading") throw new Error("no rail was proposed");
    const foreign = { ...reading, with: "dowsing rod" };
    expect(() => entryFor(foreign, { shows: "good" }, model)).toThrow(RangeError);
    expect(() => entryFor({ ...reading, id: "symptom:mood", at: "mood" }, { shows: "good" }, model)).toThrow(
      RangeError,
    );
  });
});

describe("the cautions of a step", () => {
  it("stand where power, hot iron or stored charge can hurt", () => {
    const silent = steps.filter(
      (step) =>
        cautionsOf(step, prepared.board).length === 0 &&
        !["symptom", "flexed", "warmed"].includes(kindOf(step)),
    );
    expect([...new Set(silent.map((step) => step.id))]).toEqual([]);
  });

  it("speak of charge with the power off, and of the live supply with it on", () => {
    const says = (id: string): string => {
      const step = steps.find((one) => one.id === id);
      return step === undefined ? "not proposed" : cautionsOf(step, prepared.board).join(" ");
    };
    expect(says("short:-5")).toContain("discharged");
    expect(says("rail:+5")).toContain("supply is live");
  });
});
