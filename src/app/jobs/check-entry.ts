import type { Problem } from "../../core/base/problem.js";
import type { CaseEntry } from "../../core/find/case/case.js";
import { type Case, instruments } from "../../core/find/case/case.js";
import { eventsOfCase } from "../../core/find/case/events.js";
import { isMisplaced, placeNamed } from "../../core/find/evidence/place-name.js";
import { readTimeline } from "../../core/find/evidence/timeline.js";
import { faultFamilies } from "../../core/find/priors/fault-family.js";
import type { JobEntry } from "../../core/job/job-entry.js";
import type { LoggedEntry } from "../../core/job/job-log.js";
import { isJobEntry } from "../../core/job/job-state.js";
import { impossibleValues } from "../impossible-values.js";
import type { BenchBoard } from "./bench-boards.js";
import { nearestHint } from "./refusal.js";

/**
 * Why an entry cannot stand in a log on this board, whatever else the log holds: places, symptoms, events, instruments
 * or factors that are unknown, values that cannot be. Undefined if it can. Fields are named from `entry` on.
 */
export function problemOfEntry(bench: BenchBoard, entry: LoggedEntry): Problem | undefined {
  if (isJobEntry(entry)) return problemOfJobEntry(bench, entry);
  if (entry.kind === "strike" || entry.kind === "note" || entry.kind === "photo") return undefined;
  const alone: Case = { instruments: [...instruments], entries: [entry] };
  const [problem] = [
    ...impossibleValues(alone, bench.board),
    ...unknownSymptom(bench, entry),
    ...readTimeline(bench.healthyOnly, alone).problems,
    ...eventsOfCase(bench.circuit, alone).problems,
  ];
  return problem === undefined ? undefined : asRequestProblem(problem);
}

function problemOfJobEntry(bench: BenchBoard, entry: JobEntry): Problem | undefined {
  if (entry.kind === "job-closed") {
    const { part } = entry.verdict;
    return part === undefined ? undefined : unknownPart(bench, part, "entry.verdict.part");
  }
  if (entry.kind === "connection") return problemOfConnection(bench, entry);
  if (entry.kind !== "job-setup") return undefined;
  for (const name of entry.instruments ?? []) {
    if (instruments.some((known) => known === name)) continue;
    return problem(
      "unknown-instrument",
      `There is no instrument called '${name}'.`,
      "entry.instruments",
      nearestHint(name, instruments, `Instruments: ${instruments.join(", ")}.`),
    );
  }
  const known = [...bench.board.parts.map(({ ref }) => ref), ...faultFamilies];
  for (const name of Object.keys(entry.priorFactors ?? {})) {
    if (known.includes(name)) continue;
    return problem(
      "unknown-prior-factor",
      `A factor is set for '${name}', which is neither a part of ${bench.board.title} nor a failure family.`,
      `entry.priorFactors.${name}`,
      nearestHint(name, known, `Families: ${faultFamilies.join(", ")}.`),
    );
  }
  return undefined;
}

function problemOfConnection(
  { circuit }: BenchBoard,
  { from, to }: Extract<JobEntry, { kind: "connection" }>,
): Problem | undefined {
  for (const [field, pin] of [
    ["entry.from", from],
    ["entry.to", to],
  ] as const) {
    const place = placeNamed(circuit, pin);
    if (isMisplaced(place))
      return problem("unknown-pin", `${capital(place.message)}.`, field, place.hint ?? "Name a pin as U4.7.");
    if (place.kind !== "pin" || place.label !== pin)
      return problem("unknown-pin", `'${pin}' is no pin by its number.`, field, "Name a pin as U4.7.");
  }
  return from === to
    ? problem("same-pin", `Both ends are ${from}.`, "entry.to", "Name two different pins.")
    : undefined;
}

function capital(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}`;
}

/** The problem of a part that the board does not have; undefined if it has it. */
export function unknownPart({ board }: BenchBoard, part: string, field: string): Problem | undefined {
  const refs = board.parts.map(({ ref }) => ref);
  if (refs.includes(part)) return undefined;
  const hint = nearestHint(part, refs, "Use a reference as it is printed on the board.");
  return problem("unknown-part", `There is no part '${part}' on ${board.title}.`, field, hint);
}

/** Symptoms of the model that the board's file does not describe would tell nothing, without a word. */
function unknownSymptom(bench: BenchBoard, entry: CaseEntry): Problem[] {
  if (entry.kind !== "symptom" || bench.symptoms.some(({ id }) => id === entry.what)) return [];
  const hint = nearestHint(
    entry.what,
    bench.symptoms.map(({ id }) => id),
    "The board's list of symptoms has those it can use.",
  );
  return [
    problem(
      "unknown-symptom",
      `There is no symptom '${entry.what}' of ${bench.board.title}.`,
      "entry.what",
      hint,
    ),
  ];
}

/** Messages of the reasoning begin in lower case and end bare, and name the entry by its place in a log of one. */
function asRequestProblem(found: Problem): Problem {
  const { message } = found;
  const end = /[.!?]$/.test(message) ? "" : ".";
  const field = (found.where.field ?? "entry").replace(/^entries\[0\]/, "entry");
  return {
    ...found,
    message: `${message.charAt(0).toUpperCase()}${message.slice(1)}${end}`,
    where: { field },
  };
}

function problem(code: string, message: string, field: string, hint: string): Problem {
  return { code, severity: "error", message, where: { field }, hint };
}
