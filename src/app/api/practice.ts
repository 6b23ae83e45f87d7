import { z } from "zod";
import { instruments } from "../../core/find/case/case.js";
import { probePlaceSchema } from "./findings.js";
import { clientIdSchema } from "./shapes.js";

const minutes = z.number().min(0);

/** Starts a game: a fault is hidden on a simulated machine. */
export const newPracticeSchema = z.strictObject({
  board: z.string().min(1).max(80),
  seed: z.number().int().min(0).max(4_294_967_295).optional().describe("The same seed hides the same fault."),
});

/** What is asked of the simulated machine: a typed line, a reading at a place, work on a part, or what the tool proposes. */
export const practiceStepSchema = z.union([
  z.strictObject({
    text: z.string().min(1).max(1000).describe("As typed: `U12.6`, `+5V`, `keys`, `replace U12`."),
  }),
  z.strictObject({
    at: z
      .string()
      .min(1)
      .max(200)
      .describe("`U12.6`, `rail:-5V`, a part, or what of the machine (`picture`)."),
    with: z.enum(instruments).optional(),
  }),
  z.strictObject({
    part: z.string().min(1).max(40),
    repair: z.enum(["replace", "reseat", "resolder", "clean", "piggyback"]),
  }),
  z.strictObject({ proposed: z.literal(true).describe("Does what the plan would do next.") }),
]);
export type PracticeStep = z.infer<typeof practiceStepSchema>;

/** The hidden fault, once the game is over. */
const truthSchema = z.strictObject({
  part: z.string(),
  type: z.string(),
  mode: z.string(),
  says: z.string().describe("The fault in a few words."),
});

/** A game as the player sees it. */
export const practiceViewSchema = z.strictObject({
  id: clientIdSchema,
  board: z.string(),
  boardTitle: z.string(),
  seed: z.number().int(),
  state: z.enum(["open", "fixed", "given-up"]),
  complaint: z.array(z.string()).describe("What was reported."),
  minutes: minutes.describe("Work at the bench so far."),
  observables: z
    .array(z.strictObject({ id: z.string(), title: z.string() }))
    .describe("What of the machine can be looked at, to be sent as `at`."),
  steps: z.array(
    z.strictObject({ asked: z.string(), says: z.string(), minutes, place: probePlaceSchema.nullable() }),
  ),
  truth: truthSchema.nullable().describe("Null while the game is open."),
});
export type PracticeView = z.infer<typeof practiceViewSchema>;

/** Answer of the simulated machine. */
export const practiceAnswerSchema = z.strictObject({
  answer: z.string(),
  minutes,
  fixed: z.boolean(),
  game: practiceViewSchema,
});
export type PracticeAnswer = z.infer<typeof practiceAnswerSchema>;

/** What the plan would do next in a game, for a player who asks for a hint. */
export const practiceHintSchema = z.strictObject({
  instruction: z.string(),
  minutes,
  place: probePlaceSchema.nullable(),
});

export type PracticeHint = z.infer<typeof practiceHintSchema>;

const pathSchema = z.strictObject({
  minutes,
  fixed: z.boolean(),
  steps: z.array(z.strictObject({ step: z.string(), answer: z.string(), minutes })),
});

/** Both ways to the fault, after the game. */
export const practicePathsSchema = z.strictObject({
  truth: truthSchema,
  player: pathSchema,
  tool: pathSchema,
});
export type PracticePaths = z.infer<typeof practicePathsSchema>;
