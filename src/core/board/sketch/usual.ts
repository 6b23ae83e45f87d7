import { z } from "zod";
import { sourceReferenceSchema } from "../part-type.js";

/** What a control pin of a chip on the bus is joined to. */
export const wiringDuties = [
  "select",
  "read",
  "write",
  "read-select",
  "write-select",
  "read-strobe",
  "write-strobe",
  "read-write",
  "enable",
  "reset",
  "reset-high",
  "interrupt",
  "clock",
  "io-request",
  "high",
  "low",
  "line-in",
  "line-out",
  "D0",
  "D1",
  "D2",
  "D3",
  "D4",
  "D5",
  "D6",
  "D7",
] as const;
export type WiringDuty = (typeof wiringDuties)[number];

const chipWiringSchema = z.strictObject({
  type: z.string().min(1).describe("Part type."),
  pins: z
    .record(z.string(), z.enum(wiringDuties))
    .describe("Duty by pin name; data and register pins follow from the type itself."),
  audio: z.array(z.string()).optional().describe("Pins that give out sound."),
});

/** The file data/sketch/usual-wirings.json: how a sketch wires the chips of its blocks. */
export const usualWiringsSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  sources: z.array(sourceReferenceSchema).min(1),
  wiredOtherwise: z
    .number()
    .min(0)
    .max(0.9)
    .describe("Chance that a pin of a sketched board is wired otherwise than usual."),
  aliases: z
    .array(z.strictObject({ name: z.string(), type: z.string(), why: z.string() }))
    .describe("Other numbers a block may give, with the part type that stands for them."),
  chips: z.array(chipWiringSchema),
});

export type UsualWirings = z.infer<typeof usualWiringsSchema>;
export type ChipWiring = UsualWirings["chips"][number];
