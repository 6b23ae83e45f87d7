import { z } from "zod";
import { logEntrySchema } from "./entry.js";

const signal = z.enum(["short", "long"]);

/** What can be chosen for a self-test in ROM; everything else comes from the board. */
export const selfTestOptionsSchema = z.strictObject({
  clockHertz: z
    .number()
    .min(1)
    .max(1e9)
    .optional()
    .describe("Clock of the processor; the board's if absent."),
  ranges: z
    .string()
    .max(400)
    .optional()
    .describe("Addresses to test, as `2000-3FFF`; all writable memory if absent."),
  refreshRows: z
    .union([z.literal(128), z.literal(256)])
    .optional()
    .describe("Rows of the chips that are fitted, where they differ from the part type's."),
  unitSeconds: z.number().min(0).max(100).optional().describe("Length of a short signal."),
  retentionSeconds: z
    .number()
    .min(0)
    .max(1000)
    .optional()
    .describe("How long the memory must hold between writing and reading."),
});
export type SelfTestOptions = z.infer<typeof selfTestOptionsSchema>;

/** The sheet of a self-test: where the probe goes, and what its signals mean on this board. */
export const selfTestSheetSchema = z.strictObject({
  title: z.string(),
  cautions: z.array(z.string()),
  steps: z.array(z.string()),
  reading: z.array(z.string()),
  rows: z.array(
    z.strictObject({
      signals: z.array(signal),
      title: z.string(),
      parts: z.array(z.string()).describe("Parts to look at, the likeliest first."),
    }),
  ),
  limits: z.array(z.string()),
  clockHertz: z.number().describe("Clock that the times are for."),
  probe: z.strictObject({ part: z.string(), pin: z.string() }).describe("Where the probe goes."),
  html: z.string().describe("The same to be printed: an HTML file of its own."),
});
export type SelfTestSheet = z.infer<typeof selfTestSheetSchema>;

/** What a beacon sent: the signals of each message, as they were seen. */
export const beaconSeenSchema = z.strictObject({
  options: selfTestOptionsSchema.default({}),
  messages: z
    .array(z.array(signal).min(1).max(16))
    .max(64)
    .describe("Empty if the beacon gave no sign at all."),
});
export type BeaconSeen = z.input<typeof beaconSeenSchema>;

/** What the signals mean. */
export const beaconVerdictSchema = z.strictObject({
  verdicts: z.array(z.strictObject({ title: z.string(), parts: z.array(z.string()) })),
  entry: logEntrySchema.describe("The same as an entry of the log."),
  says: z.string().describe("The entry in plain words."),
});
export type BeaconVerdict = z.infer<typeof beaconVerdictSchema>;

/** What is built: the choices, and the chip it goes into. */
export const selfTestBuildSchema = z.strictObject({
  options: selfTestOptionsSchema.default({}),
  chip: z
    .string()
    .max(20)
    .optional()
    .describe("Type of the EPROM; the board's if absent. A larger one is filled with copies."),
});
export type SelfTestBuild = z.input<typeof selfTestBuildSchema>;

/** An image that passed its trials on a bare processor core. */
export const selfTestImageSchema = z.strictObject({
  chip: z.string(),
  bytes: z.number().int().describe("Bytes of the chip."),
  usedBytes: z.number().int().describe("Bytes of the self-test itself."),
  goodSeconds: z.number().describe("Time from power-on until a good machine has said so, about."),
  trials: z.array(z.string()).describe("What it was run with, and spoke rightly."),
  files: z.array(
    z.strictObject({
      name: z.string(),
      title: z.string(),
      type: z.string().describe("Media type."),
      base64: z.string(),
    }),
  ),
});
export type SelfTestImage = z.infer<typeof selfTestImageSchema>;
