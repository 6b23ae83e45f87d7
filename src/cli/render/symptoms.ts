import type { ListedSymptom } from "../../app/list-symptoms.js";
import { type Paint, padEnd, padStart, wrap } from "../text.js";

/** Symptoms under what they are about, with their ids. */
export function renderSymptoms(symptoms: readonly ListedSymptom[], paint: Paint): string[] {
  return inSections(symptoms, paint, ({ id, wording }) => wrap(wording, `  ${padEnd(id, 20)} `));
}

/** The same with numbers to choose by; the first is 1. */
export function renderSymptomMenu(symptoms: readonly ListedSymptom[], paint: Paint): string[] {
  return inSections(symptoms, paint, ({ wording }, i) =>
    wrap(wording, ` ${paint.bold(padStart(String(i + 1), 2))}  `, "     "),
  );
}

function inSections(
  symptoms: readonly ListedSymptom[],
  paint: Paint,
  render: (symptom: ListedSymptom, position: number) => string[],
): string[] {
  return symptoms.flatMap((symptom, i) => {
    const isNew = symptoms[i - 1]?.observable !== symptom.observable;
    return [...(isNew ? [paint.bold(symptom.title)] : []), ...render(symptom, i)];
  });
}
