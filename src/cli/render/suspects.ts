import type { FindResult, Suspect } from "../../core/find/result/result.js";
import { bar, cut, type Paint, padEnd, padStart, percent, wrap } from "../text.js";
import { modeWords } from "./fault-words.js";

/** What to show of a ranking. */
export interface SuspectsView {
  /** Suspects listed. */
  readonly count: number;
  /** Suspects of whom the likeliest failure mode is told. */
  readonly withModes: number;
  /** An earlier result, to show how chances moved. */
  readonly before?: FindResult;
}

const smallest = 0.001;

/** The ranking as lines: place, part, type, section, chance with a bar, and how it moved. */
export function renderSuspects(result: FindResult, view: SuspectsView, paint: Paint): string[] {
  const listed = result.suspects.filter(({ probability }) => probability >= smallest).slice(0, view.count);
  const lines = listed.flatMap((suspect, i) => {
    const head = suspectLine(suspect, i + 1, view.before, paint);
    const mode = suspect.modes[0];
    if (i >= view.withModes || mode === undefined) return [head];
    return [head, ...wrap(`mostly ${modeWords(mode)}`, " ".repeat(11)).map((line) => paint.dim(line))];
  });
  const rest = result.suspects.slice(listed.length).reduce((sum, { probability }) => sum + probability, 0);
  if (rest >= smallest)
    lines.push(
      paint.dim(`    ${result.suspects.length - listed.length} more parts, ${percent(rest)} between them`),
    );
  lines.push(...remainders(result, paint));
  return lines;
}

function remainders(result: FindResult, paint: Paint): string[] {
  const lines: string[] = [];
  if (result.nothingLeft >= 0.01)
    lines.push(`    nothing is at fault (any more): ${percent(result.nothingLeft)}`);
  const line = `    something that is not in this model: ${percent(result.notInModel)}`;
  lines.push(result.notInModel >= 0.25 ? paint.yellow(line) : paint.dim(line));
  return lines;
}

function suspectLine(suspect: Suspect, place: number, before: FindResult | undefined, paint: Paint): string {
  const name = place === 1 ? paint.bold(suspect.part) : suspect.part;
  const socket = suspect.socketed ? " (socket)" : "";
  const columns = [
    padStart(String(place), 2),
    padEnd(name, 6),
    padEnd(cut(suspect.type, 18), 18),
    padEnd(cut(`${suspect.section}${socket}`, 19), 19),
    padStart(percent(suspect.probability), 7),
    bar(suspect.probability, 14),
  ];
  const moved = before === undefined ? "" : movement(suspect, before);
  return `${columns.join(" ")} ${moved}`.trimEnd();
}

/** `+31` or `-12` points, where a chance moved by one point or more. */
function movement(suspect: Suspect, before: FindResult): string {
  const old = before.suspects.find(({ part }) => part === suspect.part)?.probability ?? 0;
  const points = Math.round((suspect.probability - old) * 100);
  return points === 0 ? "" : `${points > 0 ? "+" : "-"}${Math.abs(points)}`;
}

/** Groups of faults that nothing outside the chips can tell apart, each as a few lines. */
export function renderGroups(result: FindResult, count: number): string[] {
  const several = result.groups.filter(({ parts, probability }) => parts.length > 1 && probability >= 0.01);
  return several.slice(0, count).flatMap(({ parts, probability }) => {
    const shown = parts.slice(0, 12).join(", ");
    const more = parts.length > 12 ? ` and ${parts.length - 12} more` : "";
    return wrap(`${shown}${more}`, `  ${padStart(percent(probability), 7)}  `);
  });
}

/** What speaks for and against a suspect. */
export function renderWhy(suspect: Suspect, paint: Paint): string[] {
  const { part, type, title, section, probability } = suspect;
  const lines = wrap(
    `${paint.bold(part)}, ${type}: ${title}, section ${section}. ${percent(probability)} at fault.`,
  );
  for (const mode of suspect.modes
    .slice(0, 4)
    .filter((one, i) => i === 0 || one.probability >= probability / 20))
    lines.push(
      ...wrap(`${modeWords(mode)}: ${mode.meaning}`, `  ${padStart(percent(mode.probability), 7)}  `),
    );
  const telling = suspect.evidence.filter(({ bits }) => Math.abs(bits) >= 0.2);
  if (telling.length === 0) lines.push("  No entry of the log speaks for or against it.");
  for (const { entry, label, says, bits } of telling.slice(0, 8)) {
    const mark = bits > 0 ? paint.red("+") : paint.green("-");
    lines.push(...wrap(`entry ${entry}: ${label}`, `  ${mark} `));
    lines.push(...wrap(says, "    "));
  }
  return lines;
}
