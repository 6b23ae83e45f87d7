import type { CaseEntry, Instrument } from "../core/find/case/case.js";
import { instruments } from "../core/find/case/case.js";
import type { FindModel } from "../core/find/model/model.js";
import { selfTestEntry } from "../core/find/practice/step.js";
import type { NextStep, OutcomeForecast } from "../core/find/result/result.js";

/** One way of answering a proposed step, with the log entry it makes. */
export interface StepAnswer {
  /** What is seen, in words. */
  readonly shows: string;
  readonly entry: CaseEntry;
  /** What the plan expects of it; absent where it makes no forecast of its own. */
  readonly forecast?: OutcomeForecast;
}

type ReadingStep = Extract<NextStep, { action: "reading" }>;
type RepairStep = Extract<NextStep, { action: "repair" }>;

/** Answers offered; going over a whole board can turn up any of its parts. */
const mostAnswers = 8;

/**
 * The answers a step can have, likeliest first, each with the entry that records it. Of a step that may turn up any
 * part of the board only the likeliest are offered. Throws `RangeError` for a step that no plan makes.
 */
export function answersOf(step: NextStep, model: FindModel): StepAnswer[] {
  switch (step.action) {
    case "gate":
      return [
        { shows: "all is well", entry: { kind: "gate", id: step.id, state: "passed" } },
        { shows: "something is wrong", entry: { kind: "gate", id: step.id, state: "failed" } },
      ];
    case "reading":
      return step.outcomes.slice(0, mostAnswers).flatMap((forecast) => readingAnswers(step, forecast, model));
    case "repair":
      return repairAnswers(step);
  }
}

/** The log entry for one outcome of a reading or a repair. Throws `RangeError` for a step that no plan makes. */
export function entryFor(
  step: ReadingStep | RepairStep,
  { shows }: Pick<OutcomeForecast, "shows">,
  model: FindModel,
): CaseEntry {
  if (step.action === "repair") return repairEntry(step, shows === "fixed" ? "fixed" : "unchanged");
  const kind = step.id.split(":", 1)[0] ?? "";
  switch (kind) {
    case "symptom":
      return { kind: "symptom", what: symptomOf(step, shows, model).id };
    case "piggyback":
      return { kind: "piggyback", part: step.at, result: shows === "fixed" ? "fixed" : "unchanged" };
    case "other-supply":
      return { kind: "other-supply", result: shows === "fixed" ? "fixed" : "unchanged" };
    case "self-test":
      return selfTestEntry(shows);
    case "removal":
    case "lifted": {
      const gap = step.at.indexOf(" ");
      const at = `net:${step.at.slice(gap + 1)}`;
      return {
        kind: "removed",
        part: step.at.slice(0, gap),
        at,
        shows: shows === "freed" ? "freed" : "unchanged",
      };
    }
    case "warmed":
    case "cooled":
    case "flexed":
      return { kind, result: shows === "unchanged" ? "unchanged" : "vanishes" };
    default: {
      const when = step.powered ? {} : { when: "unpowered" as const };
      const alone = kind === "lifted-part" ? { outOfCircuit: true } : {};
      return { kind: "reading", at: step.at, with: instrumentOf(step), shows, ...when, ...alone };
    }
  }
}

function readingAnswers(step: ReadingStep, forecast: OutcomeForecast, model: FindModel): StepAnswer[] {
  const entry = entryFor(step, forecast, model);
  if (entry.kind === "symptom")
    return [{ shows: symptomOf(step, forecast.shows, model).wording, entry, forecast }];
  if (entry.kind === "memory-test") return [{ shows: selfTestWords(forecast.shows), entry, forecast }];
  const isProvoked = entry.kind === "warmed" || entry.kind === "cooled" || entry.kind === "flexed";
  if (isProvoked && entry.result !== "unchanged") {
    return [
      { shows: "the fault vanishes", entry, forecast },
      { shows: "the fault appears", entry: { ...entry, result: "appears" }, forecast },
    ];
  }
  return [{ shows: forecast.shows, entry, forecast }];
}

const verdictWords: ReadonlyMap<string, string> = new Map([
  ["good", "the beacon says: all good"],
  ["lines", "the beacon names a line that several chips share"],
  ["silent", "no beacon at all"],
]);

function selfTestWords(outcome: string): string {
  return verdictWords.get(outcome) ?? `the beacon names ${outcome}`;
}

function symptomOf(step: ReadingStep, shows: string, model: FindModel): FindModel["symptoms"][number] {
  const symptom = model.symptoms.find((s) => s.observable === step.at && s.outcome === shows);
  if (symptom === undefined) throw new RangeError(`no symptom says that ${step.at} is ${shows}`);
  return symptom;
}

function instrumentOf(step: ReadingStep): Instrument {
  const found = instruments.find((name) => name === step.with);
  if (found === undefined) throw new RangeError(`no instrument is called ${step.with}`);
  return found;
}

function repairEntry(step: RepairStep, result: "fixed" | "changed" | "unchanged"): CaseEntry {
  const { part } = step;
  switch (step.repair) {
    case "reseat":
      return { kind: "reseat", part, result };
    case "resolder":
      return { kind: "repair", part, what: "resoldered", result };
    case "clean":
      return { kind: "repair", part, what: "cleaned", result };
    case "replace":
      return step.effort === "socketed"
        ? { kind: "swap", part, result }
        : { kind: "repair", part, what: "replaced", result };
  }
}

function repairAnswers(step: RepairStep): StepAnswer[] {
  const forecastOf = (shows: string): { forecast?: OutcomeForecast } => {
    const forecast = step.outcomes.find((outcome) => outcome.shows === shows);
    return forecast === undefined ? {} : { forecast };
  };
  return [
    { shows: "fixed: the machine works", entry: repairEntry(step, "fixed"), ...forecastOf("fixed") },
    { shows: "no change", entry: repairEntry(step, "unchanged"), ...forecastOf("unchanged") },
    { shows: "it fails otherwise now", entry: repairEntry(step, "changed") },
  ];
}
