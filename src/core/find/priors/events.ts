import { z } from "zod";
import { type FailureModeId, failureModeIdSchema } from "../../board/failure-mode.js";
import { sourceReferenceSchema } from "../../board/part-type.js";
import { type FaultFamily, faultFamilySchema } from "./fault-family.js";

/** Mishaps and own work that change how likely faults are. */
export const eventKinds = [
  "dropped",
  "wet",
  "battery-leak",
  "miswired-supply",
  "supply-failed-high",
  "static",
  "short-while-probing",
  "part-replaced",
  "soldering",
  "upgrade-fitted",
  "reseated",
  "transported",
  "stored",
] as const;
export type EventKind = (typeof eventKinds)[number];

const share = z.number().min(0).max(1);

const eventSchema = z.strictObject({
  event: z.enum(eventKinds),
  title: z.string().min(1),
  raises: z
    .array(
      z.strictObject({
        families: z.array(faultFamilySchema).min(1),
        within: z
          .enum(["board", "rail", "near", "part"])
          .describe(
            "`board`: everywhere; `rail`: parts on the named rails, everywhere if none is named; `near`: within reach of a named part; `part`: the named parts only.",
          ),
        factor: z.number().positive().describe("Factor on the rate."),
        modes: z
          .array(z.strictObject({ mode: failureModeIdSchema, factor: z.number().positive() }))
          .optional()
          .describe("Further factors on single modes."),
      }),
    )
    .describe("Families whose rate grows."),
  touch: z
    .strictObject({
      probability: share.describe("That the work made a fault, if nothing is known of the machine since."),
      probabilityIfFailedSince: share.describe("The same, if the machine worked before and not after."),
      atPart: share.describe("Part of it at the part that was worked on."),
      nextTo: share.describe("Part of it at its neighbours; the rest may be anywhere."),
      modes: z.array(z.strictObject({ mode: failureModeIdSchema, share })).min(1),
    })
    .optional()
    .describe("Faults made where somebody worked."),
});

/** What mishaps and own work do, as `data/failure/events.json` holds it; all common practice, no source. */
export const eventsSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  sources: z.array(sourceReferenceSchema).min(1),
  events: z.array(eventSchema).min(1),
});

export type EventsData = z.infer<typeof eventsSchema>;

/** One thing that happened to the machine. */
export interface MachineEvent {
  readonly kind: EventKind;
  /** Parts that it named or touched. */
  readonly parts?: readonly string[];
  /** Nets of the rails it concerned. */
  readonly rails?: readonly string[];
  /** The machine worked before and failed after it: true or false if known. */
  readonly failedSince?: boolean;
}

/** Where a part or structure sits, as far as events care. */
export interface EventPlace {
  readonly family: FaultFamily;
  /** The part it is, or is at. */
  readonly ref: string;
  /** Nets its pins are on. */
  readonly nets: ReadonlySet<string>;
  /** True if the other part is within reach of this one. */
  isNear(ref: string): boolean;
}

/** How the events change one part or structure. */
export interface EventFactor {
  /** Factor on the whole rate; 1 if no event concerns it. */
  readonly value: number;
  /** Further factors on single modes. */
  readonly modes: ReadonlyMap<FailureModeId, number>;
  /** The events that concern it. */
  readonly why: string;
}

/** Product of all raises of all events that fit the place. */
export function eventFactor(
  data: EventsData,
  events: readonly MachineEvent[],
  place: EventPlace,
): EventFactor {
  let value = 1;
  const modes = new Map<FailureModeId, number>();
  const reasons: string[] = [];
  for (const event of events) {
    const entry = entryOf(data, event.kind);
    const fitting = entry.raises.filter(
      (raise) => raise.families.includes(place.family) && isWithin(raise.within, event, place),
    );
    if (fitting.length > 0) reasons.push(entry.title);
    for (const raise of fitting) {
      value *= raise.factor;
      for (const { mode, factor } of raise.modes ?? []) modes.set(mode, (modes.get(mode) ?? 1) * factor);
    }
  }
  const why =
    reasons.length === 0 ? "No event concerns it." : `${reasons.join("; ")}. (Common practice, no source.)`;
  return { value, modes, why };
}

function isWithin(
  within: "board" | "rail" | "near" | "part",
  event: MachineEvent,
  place: EventPlace,
): boolean {
  const parts = event.parts ?? [];
  switch (within) {
    case "board":
      return true;
    case "rail":
      return event.rails === undefined || event.rails.some((net) => place.nets.has(net));
    case "near":
      return parts.includes(place.ref) || parts.some((ref) => place.isNear(ref));
    case "part":
      return parts.includes(place.ref);
  }
}

function entryOf(data: EventsData, kind: EventKind): EventsData["events"][number] {
  const entry = data.events.find((row) => row.event === kind);
  if (entry === undefined) throw new RangeError(`the data does not say what the event ${kind} does`);
  return entry;
}

/** Probability that own work made one kind of fault at one part. */
export interface TouchPrior {
  /** Position of the event in the list given. */
  readonly event: number;
  readonly ref: string;
  /** Worked on itself, or beside a part that was. */
  readonly place: "at-part" | "next-to";
  readonly mode: FailureModeId;
  readonly probability: number;
}

/**
 * Faults that own work may have made, at the parts worked on and next to them. Each event's probability is spread
 * evenly over its parts, and the share next to them evenly over their neighbours; what may be anywhere else, and
 * the whole of an event that names no part, is left to the board's background rates.
 *
 * @param neighboursOf references of the parts beside a part
 */
export function touchPriors(
  data: EventsData,
  events: readonly MachineEvent[],
  neighboursOf: (ref: string) => readonly string[],
): TouchPrior[] {
  return events.flatMap((event, index) => {
    const { touch } = entryOf(data, event.kind);
    const parts = event.parts ?? [];
    if (touch === undefined || parts.length === 0) return [];
    const each =
      (event.failedSince === true ? touch.probabilityIfFailedSince : touch.probability) / parts.length;
    const spread = (ref: string, place: TouchPrior["place"], probability: number): TouchPrior[] =>
      touch.modes.map(({ mode, share }) => ({
        event: index,
        ref,
        place,
        mode,
        probability: probability * share,
      }));
    return parts.flatMap((part) => {
      const neighbours = neighboursOf(part).filter((ref) => ref !== part);
      return [
        ...spread(part, "at-part", each * touch.atPart),
        ...neighbours.flatMap((ref) => spread(ref, "next-to", (each * touch.nextTo) / neighbours.length)),
      ];
    });
  });
}
