import type { FindSession } from "../../app/find-session.js";
import type { FindResult, NextStep } from "../../core/find/result/result.js";
import { type Paint, wrap } from "../text.js";
import { renderStep, stepLine } from "./step.js";
import { renderGroups, renderSuspects } from "./suspects.js";

/** A log worked out, for people: suspects, what cannot be told apart, contradictions, next steps. */
export function renderFound(session: FindSession, paint: Paint): string[] {
  const { result, prepared, log } = session;
  const { board } = prepared;
  const count = log.entries.length;
  const lines = [paint.bold(`${board.title}: ${count} log ${count === 1 ? "entry" : "entries"}`), ""];
  lines.push(...renderNotices(session, paint));
  lines.push(paint.bold("Suspects"), ...renderSuspects(result, { count: 10, withModes: 3 }, paint));
  const groups = renderGroups(result, 3);
  if (groups.length > 0) lines.push("", paint.bold("Not to be told apart from outside"), ...groups);
  const pair = result.pairs.leading[0];
  if (pair !== undefined && pair.probability >= 0.05)
    lines.push(...wrap(`Two faults at once are possible: ${pair.parts.join(" and ")}.`));
  lines.push("", ...renderNext(session, paint));
  return lines;
}

/** Warnings, contradictions, and that it is time to stop measuring. */
export function renderNotices({ result }: FindSession, paint: Paint): string[] {
  const lines: string[] = [];
  for (const warning of result.warnings) lines.push(...wrap(warning, `${paint.yellow("!")} `));
  if (result.contradiction !== null)
    lines.push(...wrap(result.contradiction.says, `${paint.red("Contradiction:")} `, "  "));
  if (result.stop) lines.push(...wrap("Measuring no longer pays: replacing is cheaper now."));
  return lines.length === 0 ? [] : [...lines, ""];
}

/** Chance of nothing being at fault from which on no step is urged. */
const mostlyDone = 0.8;

/** True if most likely nothing is at fault any more. */
export function isMostlyDone({ nothingLeft }: FindResult): boolean {
  return nothingLeft >= mostlyDone;
}

/** What is left to do when the machine most likely works. */
export function doneLines(first: NextStep | undefined, paint: Paint): string[] {
  const lines = wrap(
    "Most likely nothing is at fault any more. Try everything that failed before, cold and warm, and log what you see.",
  );
  if (first === undefined) return lines.map(paint.green);
  return [
    ...lines.map(paint.green),
    ...wrap(`If something still fails, the plan goes on with: ${stepLine(first)}`),
  ];
}

/** The first step as a card and the others in a line each. */
export function renderNext(session: FindSession, paint: Paint): string[] {
  const [first, ...others] = session.result.next;
  if (isMostlyDone(session.result)) return doneLines(first, paint);
  if (first === undefined) return ["No step is left that would tell anything more."];
  const lines = renderStep(first, session.answers(first), session.prepared.board, paint);
  if (others.length > 0) lines.push("", paint.dim("Or instead:"));
  for (const [i, step] of others.entries())
    lines.push(...wrap(stepLine(step), `  ${paint.bold(String(i + 2))}  `));
  return lines;
}
