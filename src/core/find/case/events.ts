import { nearestName } from "../../base/nearest.js";
import type { Problem } from "../../base/problem.js";
import { partNamed } from "../evidence/place-name.js";
import { type EventKind, eventKinds, type MachineEvent } from "../priors/events.js";
import type { Circuit } from "../settle/build.js";
import { type Case, type CaseEntry, type NumberedEntry, standingEntries } from "./case.js";
import { changesMachine } from "./since.js";

/** An event with the number of its log entry; faults it made can be there from that entry on. */
export interface DatedEvent {
  readonly number: number;
  readonly event: MachineEvent;
}

/** Events of a log: those before the machine failed shape the priors, later ones may have made faults of their own. */
export interface CaseEvents {
  readonly early: readonly MachineEvent[];
  readonly dated: readonly DatedEvent[];
  readonly problems: readonly Problem[];
}

/** Gathers mishaps and own work from a log; every repair counts as own work at its part. Unknown parts are left out. */
export function eventsOfCase(circuit: Circuit, logged: Case): CaseEvents {
  const early: MachineEvent[] = [];
  const dated: DatedEvent[] = [];
  const problems: Problem[] = [];
  const entries = standingEntries(logged.entries);
  const before = earlyEvents(entries);
  for (const { number, entry } of entries) {
    if (changesMachine(entry)) {
      const found = partNamed(circuit, entry.part);
      if ("message" in found) continue;
      const socketed = circuit.wiring.parts[found.part]?.part.socketed === true;
      dated.push({ number, event: { kind: workOf(entry, socketed), parts: [found.label] } });
      continue;
    }
    if (entry.kind !== "event") continue;
    const kind = eventKinds.find((known) => known === entry.what);
    if (kind === undefined) {
      problems.push(unknownEvent(number, entry.what));
      continue;
    }
    const at = entry.part === undefined ? undefined : partNamed(circuit, entry.part);
    if (at !== undefined && "message" in at) continue;
    const event: MachineEvent = { kind, ...(at === undefined ? {} : { parts: [at.label] }) };
    if (before.has(number)) early.push({ ...event, failedSince: true });
    else dated.push({ number, event });
  }
  return { early, dated, problems };
}

/**
 * Numbers of the events that happened before the machine failed: those that say so, and those that say nothing and
 * stand before everything that was seen or done.
 */
export function earlyEvents(entries: readonly NumberedEntry[]): ReadonlySet<number> {
  const early = new Set<number>();
  let seenAnything = false;
  for (const { number, entry } of entries) {
    if (entry.kind !== "event") seenAnything ||= entry.kind !== "gate";
    else if (entry.before ?? !seenAnything) early.add(number);
  }
  return early;
}

function workOf(
  entry: Extract<CaseEntry, { kind: "swap" | "repair" | "reseat" }>,
  socketed: boolean,
): EventKind {
  if (entry.kind === "reseat") return "reseated";
  if (entry.kind === "repair" && entry.what === "resoldered") return "soldering";
  return socketed ? "reseated" : "part-replaced";
}

function unknownEvent(number: number, what: string): Problem {
  const near = nearestName(what, eventKinds);
  return {
    code: "unknown-event",
    severity: "error",
    message: `there is no event called '${what}'`,
    where: { field: `entries[${number - 1}]` },
    hint: near === undefined ? `Known events: ${eventKinds.join(", ")}.` : `Did you mean ${near}?`,
  };
}
