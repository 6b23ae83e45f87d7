import { z } from "zod";
import type { Problem } from "../../core/base/problem.js";
import type { BoardSketch } from "../sketch-board.js";
import { listOf, problemsField } from "./shapes.js";

/** What `boardwake board sketch --json` prints. */
export const sketchOutputSchema = z.strictObject({
  board: z.string().describe("Id of the board."),
  title: z.string(),
  parts: z.number().int(),
  nets: z.number().int(),
  assumedParts: listOf(z.string()).describe("Parts nobody has seen: a sketch put them there."),
  assumedPins: z.number().int().describe("Pins that are wired by assumption."),
  pins: z.number().int().describe("All pins that are on a net."),
  wiredOtherwise: z.number().describe("Chance that an assumed pin is wired otherwise."),
  ownTypes: listOf(z.string()).describe("Part types that stand in the second file."),
  standIns: listOf(z.strictObject({ name: z.string(), type: z.string(), why: z.string() })).describe(
    "Names for which the nearest known type stands.",
  ),
  unsettled: listOf(z.strictObject({ net: z.string(), phase: z.string(), reason: z.string() })).describe(
    "Nets whose value on the healthy board nobody can account for.",
  ),
  findings: listOf(z.string()).describe("Findings of the electrical check."),
  refined: listOf(z.string()).describe("What the facts of --known changed or confirmed, one sentence each."),
  contradictions: listOf(z.string()).describe("Facts that cannot hold, together or on this board."),
  written: listOf(z.string()).describe("Files written, the board file first."),
  warnings: listOf(z.string()),
  problems: problemsField,
});

/** Output of a sketch. */
export function sketchOutput(
  made: BoardSketch,
  problems: readonly Problem[],
): z.infer<typeof sketchOutputSchema> {
  return {
    ...made,
    problems: problems.map(({ where, ...problem }) => ({ ...problem, where: { ...where } })),
  };
}
