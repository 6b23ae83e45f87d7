import type { FindModel } from "../../core/find/model/model.js";
import type { FindResult, NextStep } from "../../core/find/result/result.js";
import type { StepAnswer, StepView } from "../api/findings.js";
import { instrumentNames } from "../describe-entry.js";
import { isInstrument } from "../jobs/job-book.js";
import { answersOf } from "../step-answers.js";
import type { PlaceFinder } from "./places.js";

/** A proposed step as the page shows it. */
export function stepView(
  step: NextStep,
  result: Pick<FindResult, "stop" | "suspects">,
  model: FindModel,
  finder: PlaceFinder,
): StepView {
  return {
    id: stepId(step),
    title: titleOf(step, model),
    why: whyOf(step, result),
    places: finder.ofStep(step),
    answers: answersOf(step, model).map(
      ({ shows, entry, forecast }): StepAnswer => ({
        shows,
        means: forecast?.means ?? "",
        probability: forecast?.probability ?? null,
        leads: (forecast?.leads ?? []).map((lead) => ({ ...lead })),
        entry,
      }),
    ),
    canSkip: step.action !== "gate",
  };
}

/** Name of a step as `cannot` entries use it. */
export function stepId(step: NextStep): string {
  return step.action === "gate" ? `gate:${step.id}` : step.id;
}

const repairWords = { replace: "Replace", reseat: "Reseat", resolder: "Resolder", clean: "Clean" } as const;

function titleOf(step: NextStep, model: FindModel): string {
  switch (step.action) {
    case "gate":
      return "Make the supply safe";
    case "repair":
      return `${repairWords[step.repair]} ${step.part}`;
    case "reading": {
      const kind = step.id.split(":", 1)[0] ?? "";
      if (kind === "symptom") {
        const title = model.observables.find(({ id }) => id === step.at)?.title ?? step.at;
        return `Look: ${title.toLowerCase()}`;
      }
      const place = step.at === "board" ? "the whole board" : step.at.replace(/^(?:net|rail):/, "");
      const word = kindWords.get(kind);
      if (word !== undefined) return step.at === "" || kind === "self-test" ? word : `${word}: ${place}`;
      const tool = isInstrument(step.with) ? instrumentNames[step.with] : "";
      return tool === "" ? place : `${tool.charAt(0).toUpperCase()}${tool.slice(1)}: ${place}`;
    }
  }
}

const kindWords: ReadonlyMap<string, string> = new Map([
  ["short", "Short to ground"],
  ["continuity", "Do these ring"],
  ["device", "Measure in place"],
  ["lifted-part", "Measure with a leg lifted"],
  ["visual", "Look closely"],
  ["visual-sweep", "Look over"],
  ["heat", "Feel for heat"],
  ["heat-sweep", "Feel for heat"],
  ["rail", "Voltage"],
  ["rail-at", "Voltage"],
  ["rail-drop", "Follow the drop"],
  ["ripple", "Ripple"],
  ["current", "Supply current"],
  ["piggyback", "Piggyback"],
  ["removal", "Take out and watch"],
  ["lifted", "Lift a leg and watch"],
  ["tester", "Chip tester"],
  ["self-test", "Burn the self-test"],
  ["twin", "Compare with the twin"],
  ["other-supply", "Another supply"],
  ["warmed", "Warm it"],
  ["cooled", "Cool it"],
  ["flexed", "Flex it"],
]);

function whyOf(step: NextStep, { stop, suspects }: Pick<FindResult, "stop" | "suspects">): string {
  if (step.action === "gate")
    return "Nothing is powered before the supply is known to be safe: one failed regulator can take every chip with it.";
  const left = `about ${Math.max(1, Math.round(step.expectedMinutes))} min to a working machine`;
  if (step.action === "reading") {
    const bits = step.informationBits;
    const tells = bits >= 0.05 ? ` It is expected to tell ${bits.toFixed(1)} bits.` : "";
    return `Of all readings worth their time this one leaves ${left}.${tells}`;
  }
  const suspect = suspects.find(({ part }) => part === step.part);
  const share = suspect === undefined ? "" : ` (${Math.round(suspect.probability * 100)} %)`;
  return stop
    ? `${step.part}${share}: no reading left is worth its time any more; this leaves ${left}.`
    : `${step.part}${share}: this leaves ${left}.`;
}
