import { nearestName } from "../../base/nearest.js";
import type { Problem } from "../../base/problem.js";
import type { Board } from "../../board/board.js";
import { type EventKind, eventKinds, type MachineEvent } from "../priors/events.js";
import { type Case, type CaseEntry, standingEntries } from "./case.js";
import { changesMachine } from "./since.js";

/** An event with the epoch from which on the faults it made can be there. */
export interface DatedEvent {
  readonly event: MachineEvent;
  readonly epoch: number;
}

/** Events of a log: those before the machine failed shape the priors, later ones may have made faults of their own. */
export interface CaseEvents {
  readonly early: readonly MachineEvent[];
  readonly dated: readonly DatedEvent[];
  readonly problems: readonly Problem[];
}

/** Gathers mishaps and own work from a log. Every repair counts as own work at its part. */
export function eventsOfCase(board: Board, logged: Case): CaseEvents {
  const early: MachineEvent[] = [];
  const dated: DatedEvent[] = [];
  const problems: Problem[] = [];
  const parts = new Map(board.parts.map((part) => [part.ref, part]));
  let epoch = 0;
  let seenAnything = false;
  for (const { number, entry } of standingEntries(logged.entries)) {
    if (changesMachine(entry)) {
      const part = parts.get(entry.part);
      if (part === undefined) continue;
      epoch += 1;
      dated.push({ event: { kind: workOf(entry, part.socketed === true), parts: [entry.part] }, epoch });
      continue;
    }
    if (entry.kind !== "event") {
      seenAnything = true;
      continue;
    }
    const kind = eventKinds.find((known) => known === entry.what);
    if (kind === undefined) {
      problems.push(unknownEvent(number, entry.what));
      continue;
    }
    const event: MachineEvent = { kind, ...(entry.part === undefined ? {} : { parts: [entry.part] }) };
    if (entry.before ?? !seenAnything) early.push({ ...event, failedSince: true });
    else {
      epoch += 1;
      dated.push({ event, epoch });
    }
  }
  return { early, dated, problems };
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
