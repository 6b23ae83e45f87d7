import { z } from "zod";
import type { Problem } from "../../core/base/problem.js";
import { failureModeIdSchema } from "../../core/board/failure-mode.js";
import { entrySchema } from "../../core/find/case/case.js";
import type { NamedPart } from "../../core/memory/failing/explanation.js";
import { type FaultClass, faultClasses } from "../../core/memory/faults/fault.js";
import { type ExplainedMemory, memoryTestEntry } from "../memory-explain.js";
import type { SimulatedMarch } from "../memory-simulate.js";
import { listOf, probability, problemsField } from "./shapes.js";

/** What `boardwake memory simulate --json` prints: for each class of faults how many are caught, and how many there are. */
export const simulateOutputSchema = z.record(z.enum(faultClasses), z.tuple([z.int(), z.int()]));

/** Output of a simulation. */
export function simulateOutput({ classes }: SimulatedMarch): Partial<Record<FaultClass, [number, number]>> {
  const output: Partial<Record<FaultClass, [number, number]>> = {};
  for (const { faultClass, detected, total } of classes) output[faultClass] = [detected, total];
  return output;
}

const count = z.int().nonnegative();

/** What `boardwake memory explain --json` prints. */
export const explainOutputSchema = z.strictObject({
  board: z.string().describe("Id of the board."),
  title: z.string(),
  reads: count.describe("Failing reads given."),
  addresses: count.describe("Distinct addresses among them."),
  cells: count.describe("Distinct pairs of address and data bit that failed."),
  explanations: listOf(
    z.strictObject({
      kind: z.string().describe("Kind of cause, as `chip-bit`."),
      title: z.string(),
      share: probability.describe("Ranks the explanations; no probability."),
      explained: count.describe("Failing cells that it explains."),
      unexplained: count.describe("Failing cells that it leaves unexplained."),
      good: count.describe("Cells that it would spoil and that were good."),
      parts: listOf(
        z.strictObject({
          part: z.string(),
          pins: listOf(z.string()).describe("Pin numbers; empty if the whole part is meant."),
          failureMode: failureModeIdSchema,
          share: probability.describe("Share of this part within the explanation; no probability."),
          why: z.string(),
        }),
      ).describe("The likeliest first."),
    }),
  ).describe("The best first."),
  assumptions: listOf(z.string()),
  entry: entrySchema.describe("The same as a log entry, to go on finding the fault with."),
  problems: problemsField,
});

/** Output of an explanation. */
export function explainOutput(
  { board, title, explanation }: ExplainedMemory,
  problems: readonly Problem[],
): z.infer<typeof explainOutputSchema> {
  const { reads, addresses, cells, explanations, assumptions } = explanation;
  return {
    board,
    title,
    reads,
    addresses,
    cells,
    explanations: explanations.map(({ kind, title: what, share, explained, unexplained, good, parts }) => ({
      kind,
      title: what,
      share,
      explained,
      unexplained,
      good,
      parts: rankedParts(parts),
    })),
    assumptions,
    entry: memoryTestEntry(explanation),
    problems: problems.map(({ where, ...problem }) => ({ ...problem, where: { ...where } })),
  };
}

/** Parts of an explanation with their shares, the likeliest first. */
export function rankedParts(parts: readonly NamedPart[]) {
  const total = parts.reduce((sum, { weight }) => sum + weight, 0);
  return [...parts]
    .sort((a, b) => b.weight - a.weight)
    .map(({ part, pins, failureMode, weight, why }) => ({
      part,
      pins: [...pins],
      failureMode,
      share: weight / total,
      why,
    }));
}
