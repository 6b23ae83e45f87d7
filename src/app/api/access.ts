import { z } from "zod";
import { clientIdSchema, momentSchema } from "./shapes.js";

/** A device that was paired. */
export const deviceSchema = z.strictObject({
  id: clientIdSchema,
  label: z.string().describe("As the device calls itself."),
  pairedAt: momentSchema,
  seenAt: momentSchema,
  current: z.boolean().describe("True for the device that asks."),
});
export type Device = z.infer<typeof deviceSchema>;

/** What a page asks first. */
export const statusSchema = z.strictObject({
  version: z.string(),
  sharing: z.boolean().describe("True if other devices may join."),
  access: z
    .enum(["host", "paired", "unpaired"])
    .describe(
      "`host`: this machine itself; `unpaired`: only status and pairing answer until a code is given.",
    ),
  device: deviceSchema.nullable().describe("The paired device that asks; null for the host."),
  pairing: z
    .strictObject({
      code: z.string().describe("Good for one device; the next one gets another."),
      addresses: z.array(z.string()).describe("Addresses at which other devices find this page."),
    })
    .nullable()
    .describe("For the host of a shared bench only."),
});
export type Status = z.infer<typeof statusSchema>;

/** Pairs a device; the answer sets its cookie. */
export const pairingSchema = z.strictObject({
  code: z.string().min(1).max(40),
  label: z.string().trim().min(1).max(80).optional(),
});
