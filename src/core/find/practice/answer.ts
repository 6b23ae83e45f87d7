import type { Random } from "../../base/random.js";
import type { CaseEntry } from "../case/case.js";
import { shownChance } from "../evidence/evidence.js";
import { machineLook } from "../evidence/look.js";
import type { FaultSite } from "../faults/fault.js";
import type { FindModel } from "../model/model.js";
import type { RepairKind } from "../plan/costs.js";
import type { machineObservables } from "../table/chain.js";
import type { HiddenFault } from "./hidden-fault.js";
import {
  type PracticeStep,
  type ReadingAsked,
  type RepairAsked,
  readingOfStep,
  symptomEntry,
} from "./step.js";

/** What the machine on the bench answered, and how that stands in the log. */
export interface Answer {
  /** Outcome of the reading; `fixed` or `unchanged` for a repair. */
  readonly shows: string;
  readonly entry: CaseEntry;
  /** True if a repair made the machine work. */
  readonly fixed: boolean;
}

/** How far answers can be trusted beyond the errors of the world's own model. */
export interface AnswerOptions {
  /** Share of readings that show something else than they should, all wrong outcomes alike; 0 if absent. */
  readonly wrongReadings?: number;
}

/** Answers a step from the model of the hidden fault's world. Takes four random numbers a reading, one a repair. */
export function answer(
  hidden: HiddenFault,
  step: PracticeStep,
  random: Random,
  options: AnswerOptions = {},
): Answer {
  return step.action === "repair"
    ? answerRepair(hidden, step, random)
    : answerReading(hidden, step, random, options.wrongReadings ?? 0);
}

const timeCode = { permanent: 0, "warm-only": 1, intermittent: 2 } as const;

function answerReading(
  hidden: HiddenFault,
  step: ReadingAsked,
  random: Random,
  wrongReadings: number,
): Answer {
  const { fault, view } = hidden;
  const { space } = hidden.world;
  const reading = readingOfStep(space, step);
  const { look } = reading;
  const condition = reading.powered ? "unknown" : "unpowered";
  const shows = random.next() < shownChance(timeCode[fault.manifestation], condition, space.model);
  const code = shows ? look.codeOf(view, [fault]) : look.codeOf(space.health, []);
  const count = look.outcomes.length;
  const row = look.likelihood.subarray(code * count, (code + 1) * count);
  let outcome = random.weighted(row);
  const wrong = random.next() < wrongReadings;
  const other = random.below(count - 1);
  if (wrong) outcome = (outcome + 1 + other) % count;
  const shown = look.outcomes[outcome] ?? "";
  return { shows: shown, entry: reading.entryOf(shown), fixed: false };
}

/** Chance that a repair at the right part puts a site right, as the log's reader takes it. */
function cureChance({ errors }: FindModel, repair: RepairKind, socketed: boolean, site: FaultSite): number {
  const fitted = 1 - errors.replacementBad;
  switch (repair) {
    case "replace":
      if (!socketed) return fitted;
      // Another chip in the socket rubs the contacts; it renews no joint and clears no bridge.
      return site === "part" ? fitted : site === "socket" ? errors.reseatCures : 0;
    case "reseat":
      return site === "socket" ? errors.reseatCures : 0;
    case "resolder":
      return site === "track" || site === "bridge" ? fitted : 0;
    case "clean":
      return site === "socket" || site === "bridge" ? fitted : 0;
  }
}

const wordOf = {
  replace: "replaced",
  reseat: "reseated",
  resolder: "resoldered",
  clean: "cleaned",
} as const;

function answerRepair({ fault, world }: HiddenFault, step: RepairAsked, random: Random): Answer {
  const part = world.space.circuit.wiring.partIndex.get(step.part);
  if (part === undefined) throw new RangeError(`there is no part ${step.part}`);
  const socketed = world.space.circuit.wiring.parts[part]?.part.socketed === true;
  const cures = cureChance(world.space.model, step.repair, socketed, fault.site);
  const fixed = random.next() < cures && part === fault.part;
  const result = fixed ? "fixed" : "unchanged";
  return {
    shows: result,
    entry: { kind: "repair", part: step.part, what: wordOf[step.repair], result },
    fixed,
  };
}

/**
 * What somebody reports who brings the machine in: picture, sound and lamp as far as the board has them. If all of
 * that is well, whatever else fails: keys, the memory figure, the tape; and if nothing does, that it does not work.
 * The fault is taken to have shown.
 */
export function firstReport(hidden: HiddenFault, random: Random): Extract<CaseEntry, { kind: "symptom" }>[] {
  const { space } = hidden.world;
  const report: Extract<CaseEntry, { kind: "symptom" }>[] = [];
  let anyWrong = false;
  const ask = (observable: (typeof machineObservables)[number]): void => {
    const look = machineLook(space, observable);
    if (look === undefined) return;
    const count = look.outcomes.length;
    const rowOf = (code: number) => look.likelihood.subarray(code * count, (code + 1) * count);
    const healthy = rowOf(look.codeOf(space.health, []));
    const usual = healthy.indexOf(Math.max(...healthy));
    const outcome = random.weighted(rowOf(look.codeOf(hidden.view, [hidden.fault])));
    if (outcome !== usual) anyWrong = true;
    report.push(symptomEntry(space.model, observable, look.outcomes[outcome] ?? ""));
  };
  for (const observable of ["picture", "sound", "lamp"] as const) ask(observable);
  for (const observable of ["keys", "memory-figure", "tape"] as const) if (!anyWrong) ask(observable);
  if (!anyWrong) report.push(symptomEntry(space.model, "whole", "fails"));
  return report;
}
