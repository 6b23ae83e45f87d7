import { z } from "zod";
import type { EmulatedSelfTest } from "../self-test-emulate.js";
import { listOf } from "./shapes.js";

/** What `boardwake memory rom emulate --json` prints. */
export const emulateOutputSchema = z.strictObject({
  verdict: z.string().describe("What the beacon said, in words; several are joined by a semicolon."),
  parts: listOf(z.string()).describe("Parts to look at, the likeliest first."),
  beacon: z.string().describe("Signals of each message, S short and L long; a blank between messages."),
  cycles: z.int().nonnegative().describe("Clock cycles until a round was over."),
  ended: z
    .enum(["round", "cycles", "stopped", "cancelled"])
    .describe("Why the run ended; `stopped`: the processor met an undefined opcode or halted."),
  reason: z.string().optional().describe("Why the processor stopped."),
});

/** Output of an emulation. */
export function emulateOutput({ verdict, emulation }: EmulatedSelfTest): z.infer<typeof emulateOutputSchema> {
  const { parts, beacon, cycles, ended, reason } = emulation;
  return {
    verdict,
    parts: [...parts],
    beacon,
    cycles,
    ended,
    ...(reason === undefined ? {} : { reason }),
  };
}
