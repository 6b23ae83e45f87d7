import { z } from "zod";
import type { Problem } from "../../core/base/problem.js";
import type { FreeRunReport } from "../free-run.js";
import { listOf, problemsField } from "./shapes.js";

/** What `boardwake memory free-run --json` prints. */
export const freeRunOutputSchema = z.strictObject({
  board: z.string().describe("Id of the board."),
  part: z.string().describe("The processor."),
  instruction: z.string().describe("Byte on the data pins, hexadecimal."),
  clockHertz: z.number(),
  plug: listOf(
    z.strictObject({ pin: z.string(), name: z.string(), wired: z.enum(["through", "low", "high"]) }),
  ).describe("Pins between the processor and its socket."),
  lines: listOf(
    z.strictObject({
      net: z.string(),
      part: z.string(),
      pin: z.string(),
      kind: z.enum(["address", "select"]),
      look: z.enum(["pulsing", "high"]),
      hertz: z.number().describe("Repetitions a second; 0 for a line that stays."),
      isSquare: z.boolean().describe("True if a counter shows that rate."),
      note: z.string(),
    }),
  ),
  readings: listOf(
    z.strictObject({
      net: z.string(),
      seen: z.union([z.number(), z.enum(["pulsing", "high", "low"])]),
      fits: z.boolean(),
      say: z.string(),
    }),
  ),
  notes: listOf(z.string()),
  problems: problemsField,
});

/** Output of a free run. */
export function freeRunOutput(
  { run, compared }: FreeRunReport,
  problems: readonly Problem[],
): z.infer<typeof freeRunOutputSchema> {
  return {
    board: run.board,
    part: run.part,
    instruction: run.instruction.toString(16).toUpperCase().padStart(2, "0"),
    clockHertz: run.clockHertz,
    plug: [...run.plug],
    lines: [...run.lines],
    readings: compared.map(({ line, seen, fits, say }) => ({ net: line.net, seen, fits, say })),
    notes: [...run.notes],
    problems: [...problems],
  };
}
