import { z } from "zod";
import type { Problem } from "../../core/base/problem.js";
import { failureModeIds } from "../../core/board/failure-mode.js";
import type { ListedSymptom } from "../list-symptoms.js";
import type { PlayedGame } from "../practice.js";
import { listOf, problemsField } from "./shapes.js";

/** What `boardwake find --symptoms --json` prints. */
export const symptomsOutputSchema = z.strictObject({
  symptoms: listOf(
    z.strictObject({
      id: z.string().describe("As a log names it."),
      observable: z.string().describe("What of the machine it is about."),
      title: z.string().describe("The same in words."),
      wording: z.string(),
    }),
  ),
});

/** What `boardwake practice --auto --json` prints. */
export const practiceOutputSchema = z.strictObject({
  board: z.string(),
  seed: z.number().int(),
  answeredBy: z.literal("model").describe("The machine is simulated: nothing was measured."),
  truth: z
    .strictObject({
      part: z.string(),
      mode: z.string().describe(`One of the failure modes, such as \`${failureModeIds[0] ?? ""}\`.`),
      site: z.string(),
      detail: z.string(),
      manifestation: z.string(),
    })
    .describe("The hidden fault."),
  reported: listOf(z.string()).describe("Symptoms reported at first."),
  path: listOf(z.strictObject({ step: z.string(), answer: z.string(), minutes: z.number().min(0) })).describe(
    "Steps in the order they were taken.",
  ),
  minutes: z.number().min(0).describe("Work at the bench."),
  rank: z
    .number()
    .int()
    .nullable()
    .describe(
      "Place of the hidden part when measuring first ended; the worst place of the parts that cannot be told from it. Null if measuring never ended.",
    ),
  stoppedAfter: z.number().int().nullable().describe("Steps before measuring first ended."),
  fixed: z.boolean(),
  problems: problemsField,
});

/** Output of the list of symptoms. */
export function symptomsOutput(symptoms: readonly ListedSymptom[]): z.infer<typeof symptomsOutputSchema> {
  return { symptoms };
}

/** Output of a game that the plan played. */
export function practiceOutput(
  game: PlayedGame,
  problems: readonly Problem[],
): z.infer<typeof practiceOutputSchema> {
  return {
    ...game,
    problems: problems.map(({ where, ...problem }) => ({ ...problem, where: { ...where } })),
  };
}
