import { instrumentNames } from "../../app/describe-entry.js";
import { partsAt } from "../../app/probe-place.js";
import type { StepAnswer } from "../../app/step-answers.js";
import { cautionsOf } from "../../app/step-cautions.js";
import type { Board } from "../../core/board/board.js";
import type { NextStep } from "../../core/find/result/result.js";
import { minutesText, type Paint, padEnd, padStart, percent, widthOf, wrap } from "../text.js";

/** Longest wording that still stands in a table beside its chance. */
const widestShown = 26;

/** Letter of the answer at a position: `a`, `b` and so on. */
export function answerLetter(position: number): string {
  return String.fromCharCode(97 + position);
}

/** A proposed step as a card: what, where, with what, how long, why, and what each answer would mean. */
export function renderStep(
  step: NextStep,
  answers: readonly StepAnswer[],
  board: Board,
  paint: Paint,
): string[] {
  const lines = [paint.bold(paint.cyan(headOf(step)))];
  lines.push(...wrap(plainInstruction(step), "  "));
  for (const caution of cautionsOf(step, board))
    lines.push(...wrap(caution, `  ${paint.yellow("!")} `, "    "));
  for (const [label, text] of factsOf(step, board)) lines.push(...wrap(text, `  ${padEnd(label, 6)} `));
  lines.push(paint.dim("  If it turns out:"));
  const longest = Math.max(...answers.map(({ shows }) => widthOf(shows)));
  for (const [i, answer] of answers.entries())
    lines.push(
      ...(longest <= widestShown ? tableLine(answer, i, longest, paint) : ownLines(answer, i, paint)),
    );
  if (step.action === "reading" && step.outcomes.length > answers.length && step.at === "board")
    lines.push(paint.dim(`      another part: type 'board ${step.with} U12' with its name`));
  return lines;
}

/** A step in one line, for a list of alternatives. */
export function stepLine(step: NextStep): string {
  return `${plainInstruction(step)} ${minutesText(step.minutes)}.`;
}

function headOf(step: NextStep): string {
  switch (step.action) {
    case "gate":
      return `First make it safe: ${minutesText(step.minutes)}`;
    case "reading": {
      const tool = Object.entries(instrumentNames).find(([name]) => name === step.with)?.[1];
      const power = step.powered ? "" : ", power off";
      return `Next step: ${minutesText(step.minutes)}${tool === undefined ? "" : `, ${tool}`}${power}`;
    }
    case "repair":
      return `Next step: ${minutesText(step.minutes)}, a repair`;
  }
}

/** What to do. The sentence meant for those who write log files by hand is left out: here answers are letters. */
function plainInstruction({ instruction }: NextStep): string {
  return instruction.replace(/ Log \{.*\} when all is well\./, "");
}

function factsOf(step: NextStep, board: Board): [label: string, text: string][] {
  if (step.action === "gate") return [];
  const at = step.action === "reading" ? step.at : step.part;
  const facts: [string, string][] = partsAt({ board }, at).map(({ ref, type, section, x, y }) => [
    "where",
    `${ref} (${type}, ${section}): ${Math.round(x)} mm from the left, ${Math.round(y)} mm from the top edge`,
  ]);
  if (step.action === "repair") {
    const risk = step.riskMinutes >= 0.5 ? `, ${minutesText(step.riskMinutes)} of risk to tracks` : "";
    const money = step.money > 0 ? `, parts for about ${step.money.toFixed(2)}` : "";
    facts.push(["cost", `${minutesText(step.minutes)} (${step.effort})${risk}${money}`]);
  }
  const bits = step.informationBits < 0.005 ? "less than 0.01" : step.informationBits.toFixed(2);
  facts.push([
    "why",
    `tells ${bits} bits of what is wrong; ${minutesText(step.expectedMinutes)} to a working machine from here`,
  ]);
  return facts;
}

function tableLine({ shows, forecast }: StepAnswer, position: number, width: number, paint: Paint): string[] {
  const chance = forecast === undefined ? "" : percent(forecast.probability);
  const head = `   ${paint.bold(answerLetter(position))}  ${padEnd(shows, width)} ${padStart(chance, 7)}  `;
  return wrap(forecast?.means ?? "", head);
}

/** A long wording gets lines of its own; its chance and meaning stand below it. */
function ownLines({ shows, forecast }: StepAnswer, position: number, paint: Paint): string[] {
  const lines = wrap(shows, `   ${paint.bold(answerLetter(position))}  `);
  if (forecast === undefined) return lines;
  return [...lines, ...wrap(`${percent(forecast.probability)}: ${forecast.means}`, "      ").map(paint.dim)];
}
