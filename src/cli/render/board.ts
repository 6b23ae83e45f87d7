import type { BoardCheck } from "../../app/check-board.js";
import type { BoardImport } from "../../app/import-board.js";
import type { ComparedBoards } from "../../app/import-board-diff.js";
import type { ShownBoard } from "../../app/show-board.js";
import type { Finding } from "../../core/board/check/finding.js";
import { cut, type Paint, padEnd, padStart, wrap } from "../text.js";

/** The electrical check for people: what somebody has to look at first, then what is as it should be. */
export function renderCheck(check: BoardCheck, paint: Paint): string[] {
  const open = check.findings.filter(({ explained }) => explained === undefined);
  const accepted = check.findings.filter(({ explained }) => explained !== undefined);
  const lines = [paint.bold(`${check.title}: ${check.parts} parts, ${check.nets} nets`), ""];
  if (open.length > 0)
    lines.push(paint.bold(`${open.length} to look at`), ...open.flatMap((f) => findingLines(f, paint)));
  if (accepted.length > 0) {
    lines.push(paint.bold(`${accepted.length} as they should be`));
    for (const { at, rule, explained } of accepted)
      lines.push(...wrap(`${at}, ${rule}: ${explained ?? ""}`, `  ${paint.green("ok")} `, "     "));
  }
  if (check.unsettled.length > 0) {
    lines.push(paint.bold(`${check.unsettled.length} values the healthy board leaves unexplained`));
    for (const { net, phase, reason } of check.unsettled.slice(0, 40))
      lines.push(...wrap(`${net} in ${phase}: ${reason}`, "  - "));
    if (check.unsettled.length > 40) lines.push(`  … ${check.unsettled.length - 40} more; --json lists all`);
  }
  if (open.length === 0 && check.unsettled.length === 0)
    lines.push("Nothing is left to look at: every finding is explained, every net settles.");
  return lines;
}

function findingLines({ severity, at, rule, message }: Finding, paint: Paint): string[] {
  const mark = severity === "error" ? paint.red("error") : paint.yellow("look ");
  return wrap(`${at}, ${rule}: ${message}`, `  ${mark} `);
}

/** A board for people: what it is, its rails, its parts by section. */
export function renderShown(board: ShownBoard, paint: Paint): string[] {
  const year = board.year === undefined ? "" : `, ${board.year}`;
  const lines = [paint.bold(`${board.title} (${board.id}${year})`), ...wrap(board.summary), ""];
  const rails = board.rails.map(({ net, nominalVolt, tolerancePercent, raw }) =>
    raw === true
      ? `${net} (raw, about ${nominalVolt} V)`
      : `${net} (${nominalVolt} V ± ${tolerancePercent} %)`,
  );
  lines.push(...wrap(rails.join(", "), "Rails    "));
  lines.push(`Nets     ${board.nets.length}, ground is ${board.ground}`);
  for (const { title, kind, space, from, to, chips } of board.memory) {
    const parts = chips.map(({ part }) => part).join(", ");
    lines.push(
      ...wrap(`${from}-${to} ${title} (${kind}${space === "io" ? ", I/O" : ""}): ${parts}`, "Memory   "),
    );
  }
  lines.push(...wrap(board.phases.map(({ id }) => id).join(", "), "Phases   "));
  for (const section of new Set(board.parts.map((part) => part.section))) {
    const parts = board.parts.filter((part) => part.section === section);
    lines.push("", paint.bold(`${section} (${parts.length})`));
    const byType = new Map<string, string[]>();
    for (const { ref, type, value } of parts) {
      const kind = value === undefined ? type : `${type} ${value}`;
      byType.set(kind, [...(byType.get(kind) ?? []), ref]);
    }
    for (const [kind, refs] of byType)
      lines.push(...wrap(refs.join(", "), `  ${padEnd(cut(kind, 26), 26)} `));
  }
  return lines;
}

/** How two boards differ: a line for each difference, `-` what was and `+` what is. */
export function renderDiff(compared: ComparedBoards, paint: Paint): string[] {
  const { same, added, removed, renamedNets, pins, fields } = compared;
  if (same) return ["The boards are the same."];
  const sidesOf = ({ before, after }: { before?: string; after?: string }): string[] => [
    ...(before === undefined ? [] : wrap(before, `  ${paint.red("-")} `)),
    ...(after === undefined ? [] : wrap(after, `  ${paint.green("+")} `)),
  ];
  return [
    ...(removed.length === 0 ? [] : wrap(removed.join(", "), "Parts only on the first board:  ")),
    ...(added.length === 0 ? [] : wrap(added.join(", "), "Parts only on the second board: ")),
    ...renamedNets.flatMap(({ before, after }) => wrap(`${before} is now ${after}`, "Net ")),
    ...pins.flatMap(({ pin, before = "open", after = "open" }) =>
      wrap(`${before} -> ${after}`, `Pin ${pin}: `),
    ),
    ...fields.flatMap((change) => [change.field, ...sidesOf(change)]),
  ];
}

/** What an import made, and what it took for granted. */
export function renderImport(made: BoardImport, paint: Paint): string[] {
  const { title, board, parts, nets, pins, chips, recognised, unknown, guesses, ownTypes, written } = made;
  const lines = [
    paint.bold(`${title} (${board}): ${parts} parts, ${nets} nets, ${pins} pins`),
    ...wrap(`${recognised} of ${chips} chips recognised`),
    ...unknown.flatMap(({ ref, value, why }) =>
      wrap(`${value === "" ? "no value" : value}: ${why}`, `  ${padEnd(cut(ref, 10), 10)} `),
    ),
    "",
    "Taken for granted; look it over:",
  ];
  for (const { subject, taken, reason, certainty } of guesses) {
    const mark =
      certainty === "sure" ? paint.green(padEnd(certainty, 6)) : paint.yellow(padEnd(certainty, 6));
    lines.push(...wrap(`${taken}: ${reason}`, `  ${mark} ${padEnd(cut(subject, 14), 14)} `));
  }
  if (ownTypes.length > 0)
    lines.push(
      ...wrap(`Types made for this board alone, because the library has none: ${ownTypes.join(", ")}.`),
    );
  const counts = new Map<string, number>();
  for (const { certainty } of guesses) counts.set(certainty, (counts.get(certainty) ?? 0) + 1);
  const tally = [...counts]
    .map(([certainty, count]) => `${padStart(String(count), 1)} ${certainty}`)
    .join(", ");
  lines.push("", ...wrap(`${tally}. Written: ${written.join(", ")}`));
  return lines;
}
