import { z } from "zod";
import type { Problem } from "../../core/base/problem.js";
import type { BuiltSelfTest } from "../self-test-rom.js";
import { listOf, problemsField } from "./shapes.js";

const count = z.int().nonnegative();

/** What `boardwake memory rom build --json` prints. */
export const buildOutputSchema = z.strictObject({
  board: z.string().describe("Id of the board."),
  part: z.string().describe("Part whose place the chip takes."),
  chip: z.string().describe("Type of the EPROM."),
  bytes: count.describe("Size of the EPROM."),
  codeBytes: count.describe("Bytes of instructions."),
  usedBytes: count.describe("Bytes of instructions, tables and texts."),
  goodSeconds: z.number().describe("Time from power-on until a good machine has said so, about."),
  trials: listOf(
    z.strictObject({
      title: z.string(),
      verdict: z.string().describe("Kind of the last verdict that was heard; empty if none was."),
      cycles: count.describe("Clock cycles of the trial, which waits less than the machine."),
      passed: z.boolean(),
    }),
  ).describe("What the image did on a bare processor core."),
  files: listOf(z.string()).describe("Files that were written."),
  problems: problemsField,
});

/** Output of a build. */
export function buildOutput(
  { plan, chip, content, image, verification, goodSeconds }: BuiltSelfTest,
  files: readonly string[],
  problems: readonly Problem[],
): z.infer<typeof buildOutputSchema> {
  return {
    board: plan.board,
    part: plan.rom.part,
    chip: chip.type,
    bytes: content.length,
    codeBytes: image.codeBytes,
    usedBytes: image.usedBytes,
    goodSeconds,
    trials: verification.trials.map(({ title, verdicts, cycles, passed }) => ({
      title,
      verdict: verdicts.at(-1)?.kind ?? "",
      cycles,
      passed,
    })),
    files: [...files],
    problems: [...problems],
  };
}
