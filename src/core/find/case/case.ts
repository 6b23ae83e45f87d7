import { z } from "zod";
import { failureModeIds } from "../../board/failure-mode.js";

/** Instruments and aids a reading can be taken with. */
export const instruments = [
  "multimeter",
  "logic-probe",
  "oscilloscope",
  "thermometer",
  "finger",
  "eye",
  "twin",
  "chip-tester",
  "test-program",
  "bench-supply",
  "chip-programmer",
] as const;
export type Instrument = (typeof instruments)[number];

/** Instruments everybody has. */
export const freeInstruments: readonly Instrument[] = ["finger", "eye"];

const text = z.string().min(1).max(200);
const when = z.enum(["cold", "warm", "unpowered"]);
const moment = {
  when: when.optional().describe("Condition of the machine."),
  minutesSincePowerOn: z
    .number()
    .min(0)
    .max(100_000)
    .optional()
    .describe("More than ten minutes counts as warm."),
  note: z.string().max(2000).optional().describe("Anything worth keeping with it; not reasoned with."),
};
const part = text.describe("Reference of the part.");
const outcome = z
  .enum(["fixed", "changed", "unchanged"])
  .describe("The machine works, fails otherwise than before, or fails as before.");

const gateSchema = z
  .strictObject({
    kind: z.literal("gate"),
    id: z.enum(["supply"]).describe("Which check."),
    state: z.enum(["passed", "failed"]).describe("The latest one counts."),
  })
  .describe("A safety check before power.");

const symptomSchema = z
  .strictObject({
    kind: z.literal("symptom"),
    what: text.describe("Symptom id; `boardwake find --symptoms` lists them."),
    lines: z.array(text).max(32).optional().describe("For dead keys: the matrix lines (nets) that are dead."),
    ...moment,
  })
  .describe("What the machine as a whole does; a later one of the same thing replaces it.");

const charactersSchema = z
  .strictObject({
    kind: z.literal("characters"),
    right: text.describe("What should stand there: a character, or its code as 0x41."),
    wrong: text.describe("What stands there instead."),
    ...moment,
  })
  .describe("A wrong character on the screen: the bits that differ point at data lines.");

const readingSchema = z
  .strictObject({
    kind: z.literal("reading"),
    at: text.describe(
      "`U12.6`, `rail:-5V`, `net:NAME`, a part (`U12`), two pins `U4.7-U9.3`, `U12 neighbours` for each of its pins against the next, `board` for a sweep over all parts, or `supply` for the current.",
    ),
    with: z.enum(instruments).describe("What it was read with."),
    shows: text
      .optional()
      .describe(
        "What the instrument shows, in its own words: low, high, pulsing, floating, hot, short, open, same, different …",
      ),
    volts: z.number().min(-1000).max(1000).optional().describe("Against ground."),
    rippleVolts: z.number().min(0).max(100).optional().describe("Peak to peak."),
    ohms: z.number().min(0).max(1e12).optional().describe("To ground, or between two pins; power off."),
    hertz: z.number().min(0).max(1e9).optional().describe("Rate seen with an oscilloscope."),
    amperes: z.number().min(0).max(100).optional().describe("Current drawn from the supply."),
    degreesCelsius: z.number().min(-60).max(300).optional().describe("At the top of the package."),
    outOfCircuit: z
      .boolean()
      .optional()
      .describe("A part measured with a leg lifted, so that nothing beside it counts."),
    errorRate: z
      .number()
      .min(0)
      .max(0.5)
      .optional()
      .describe("How often this very reading may be mistaken, over and above its instrument's own error."),
    ...moment,
  })
  .describe("A measured fact.");

const swapSchema = z
  .strictObject({ kind: z.literal("swap"), part, result: outcome, ...moment })
  .describe("A part exchanged in its socket for another one.");
const repairSchema = z
  .strictObject({
    kind: z.literal("repair"),
    part,
    what: z
      .enum(["replaced", "resoldered", "cleaned", "reseated"])
      .optional()
      .describe("What was done; replaced if absent."),
    result: outcome.optional(),
    ...moment,
  })
  .describe("Work with iron or brush.");
const reseatSchema = z
  .strictObject({ kind: z.literal("reseat"), part, result: outcome, ...moment })
  .describe("A part taken out of its socket, cleaned and put back.");
const piggybackSchema = z
  .strictObject({
    kind: z.literal("piggyback"),
    part,
    result: outcome,
    ...moment,
  })
  .describe("A good part pressed on top of the one in the board.");
const removedSchema = z
  .strictObject({
    kind: z.literal("removed"),
    part: text.describe("Part pulled from its socket, or pin whose leg is lifted (`U9.2`)."),
    at: text.describe("Line watched meanwhile."),
    shows: z.enum(["freed", "unchanged"]).describe("Whether the line moves again."),
    ...moment,
  })
  .describe("A part out of its socket or a leg lifted, and a line watched.");
const otherSupplySchema = z
  .strictObject({ kind: z.literal("other-supply"), result: outcome, ...moment })
  .describe("The machine run from another supply.");
const provocationSchema = z
  .strictObject({
    kind: z.enum(["warmed", "cooled", "flexed"]),
    part: text.optional().describe("Part warmed, cooled or pressed; the whole board if absent."),
    result: z.enum(["appears", "vanishes", "unchanged"]).describe("What the fault did."),
    ...moment,
  })
  .describe("Warming, cooling or pressing, to make a fault come or go.");
const memoryTestSchema = z
  .strictObject({
    kind: z.literal("memory-test"),
    by: z
      .enum(["self-test", "test-program"])
      .describe("A self-test in place of the start-up ROM, or a program that needs a working machine."),
    verdict: z
      .enum(["good", "lines", "silent", "causes"])
      .describe(
        "All memory good, a line that several chips share, no sign of life, or the causes of failing bits.",
      ),
    causes: z
      .array(
        z.strictObject({
          title: z.string().max(300).optional().describe("What is wrong, in words."),
          share: z.number().min(0).max(1).describe("Share of this cause among all that were weighed."),
          parts: z
            .array(
              z.strictObject({
                part,
                mode: z.enum(failureModeIds).optional().describe("Failure mode, where one is meant."),
                pins: z.array(text).max(64).optional().describe("Pin numbers, where some are meant."),
                weight: z
                  .number()
                  .min(0)
                  .max(1000)
                  .optional()
                  .describe("Against the other parts of the cause; 1 if absent."),
              }),
            )
            .min(1)
            .max(64),
        }),
      )
      .min(1)
      .max(32)
      .optional()
      .describe("For the verdict `causes`: as `boardwake memory explain` prints them."),
    ...moment,
  })
  .describe("What a memory test said.");
const eventSchema = z
  .strictObject({
    kind: z.literal("event"),
    what: text.describe("Id of a mishap or of own work, as data/failure/events.json lists them."),
    part: text.optional().describe("Part or place concerned."),
    before: z
      .boolean()
      .optional()
      .describe("True if it happened before the machine failed; else faults it made date from here."),
    note: z.string().max(2000).optional(),
  })
  .describe("A mishap or own work.");
const noteSchema = z
  .strictObject({ kind: z.literal("note"), text: z.string().max(10_000) })
  .describe("Words for people; not reasoned with.");
const photoSchema = z
  .strictObject({
    kind: z.literal("photo"),
    file: text.describe("Where the picture lies."),
    of: text.optional().describe("Part or place it shows."),
  })
  .describe("A picture; not reasoned with.");
const strikeSchema = z
  .strictObject({
    kind: z.literal("strike"),
    entry: z.number().int().min(1).describe("Number of the entry that is struck out; the first is 1."),
  })
  .describe("An earlier entry that does not count.");

export const entrySchema = z.discriminatedUnion("kind", [
  gateSchema,
  symptomSchema,
  charactersSchema,
  readingSchema,
  swapSchema,
  repairSchema,
  reseatSchema,
  piggybackSchema,
  removedSchema,
  otherSupplySchema,
  provocationSchema,
  memoryTestSchema,
  eventSchema,
  noteSchema,
  photoSchema,
  strikeSchema,
]);

/** One machine's log as far as finding its fault goes. */
export const caseSchema = z.strictObject({
  $schema: z.string().optional(),
  board: z.string().max(80).optional().describe("Id of the board the log was kept on."),
  instruments: z.array(z.enum(instruments)).default(["multimeter"]).describe("Instruments at hand."),
  spares: z.array(text).max(500).optional().describe("Part types in the drawer."),
  year: z
    .number()
    .int()
    .min(1970)
    .max(2200)
    .optional()
    .describe("Year of the repair; gives the age of the parts."),
  priorFactors: z
    .record(text, z.number().min(0.001).max(1000))
    .optional()
    .describe("Factors on the prior odds by part or failure family."),
  entries: z.array(entrySchema).max(5000).describe("What was seen and done, in order."),
});

export type Case = z.infer<typeof caseSchema>;
export type CaseEntry = z.infer<typeof entrySchema>;
export type ReadingEntry = Extract<CaseEntry, { kind: "reading" }>;

/** A log entry with its number, after strikes. */
export interface NumberedEntry {
  /** First entry is 1. */
  readonly number: number;
  readonly entry: CaseEntry;
}

/**
 * Entries that still stand: struck ones and the strikes themselves are left out, notes and photos too. A strike works
 * on what stands before it; striking a strike brings back what that one took out.
 */
export function standingEntries(entries: readonly CaseEntry[]): NumberedEntry[] {
  const struck = new Set<number>();
  for (const [i, entry] of [...entries.entries()].reverse()) {
    if (entry.kind === "strike" && !struck.has(i + 1) && entry.entry <= i) struck.add(entry.entry);
  }
  return entries.flatMap((entry, i) => {
    const idle = entry.kind === "strike" || entry.kind === "note" || entry.kind === "photo";
    return idle || struck.has(i + 1) ? [] : [{ number: i + 1, entry }];
  });
}
