import { z } from "zod";
import type { Problem } from "../../core/base/problem.js";
import { failureModeIdSchema, manifestations } from "../../core/board/failure-mode.js";
import { entrySchema } from "../../core/find/case/case.js";
import type { NextStep } from "../../core/find/result/result.js";
import type { FindSession } from "../find-session.js";
import { entryFor } from "../step-answers.js";
import { cautionsOf } from "../step-cautions.js";
import { listOf, probability, problemsField } from "./shapes.js";

const minutes = z.number().min(0);
const site = z
  .enum(["part", "socket", "track", "bridge"])
  .describe(
    "The part itself, its socket contact, a track or joint at its pin, or a bridge between its pins.",
  );
const mode = failureModeIdSchema.describe("Id of the failure mode.");
const detail = z.string().describe("Pin, bit or line concerned; empty if the whole part.");
const repair = z.enum(["replace", "reseat", "resolder", "clean"]);
const effort = z.enum(["none", "socketed", "soldered"]);

const suspectSchema = z.strictObject({
  part: z.string().describe("Reference on the board."),
  type: z.string(),
  title: z.string().describe("The type in words."),
  section: z.string(),
  socketed: z.boolean(),
  probability: probability.describe(
    "Chance that this part, its socket or its joints are at fault. Since two parts may be at fault at once, the chances of all suspects may sum to more than 1.",
  ),
  modes: listOf(
    z.strictObject({
      mode,
      meaning: z.string(),
      site,
      detail,
      manifestation: z.enum(manifestations).describe("Always, only when warm, or now and then."),
      probability,
    }),
  ).describe("Up to six ways in which it may be bad, likeliest first."),
  prior: z
    .strictObject({
      handbookPerMillionHours: z.number().describe("Rate after MIL-HDBK-217F Notice 2."),
      handbookSection: z.string(),
      trade: z.number().describe("Factor of the trade; common practice, no source."),
      age: z.number().describe("Factor of age; common practice, no source."),
      field: z.number().describe("Factor from counted repair histories, as weak evidence."),
      events: z.number().describe("Factor of mishaps and work in the log."),
      ownJobs: z.number().describe("Factor from the bench's own closed jobs, or set in the log."),
      totalPerMillionHours: z.number().describe("Product of all; only ratios between parts mean anything."),
    })
    .nullable()
    .describe("What the prior of the part itself is made of; null for a part that cannot fail by itself."),
  evidence: listOf(
    z.strictObject({
      entry: z.number().int().describe("Number of the log entry; the first is 1."),
      label: z.string(),
      bits: z
        .number()
        .describe(
          "Logarithm to base 2 of how much likelier the entry is with the part at fault than without.",
        ),
      says: z.string(),
    }),
  ).describe("What speaks for and against it, heaviest first; worked out for the first ten suspects."),
  repair: repair.describe("What would mend its likeliest fault."),
  repairCost: z.strictObject({
    minutes: minutes.describe("Work and check."),
    money: z.number().min(0),
    riskMinutes: minutes.describe("Expected loss by damage done while repairing."),
    totalMinutes: minutes.describe("All of it as minutes."),
    effort,
  }),
});

const outcomeSchema = z.strictObject({
  shows: z.string(),
  probability: probability.describe("Chance of this outcome."),
  leads: listOf(z.strictObject({ part: z.string(), probability })).describe(
    "Leading suspects if it comes so.",
  ),
  means: z.string().describe("The same in words."),
  entry: entrySchema.describe("The entry to add to the log if it comes so."),
});

const stepFields = {
  minutes,
  instruction: z.string().describe("What to do."),
  cautions: listOf(z.string()).describe("What can hurt in this step."),
};
const judged = {
  informationBits: z.number().describe("What the step is expected to tell, in bits."),
  expectedMinutes: z.number().describe("Expected minutes to a working machine if this is done next."),
  outcomes: listOf(outcomeSchema),
};

const nextSchema = z.discriminatedUnion("action", [
  z
    .strictObject({ action: z.literal("gate"), id: z.string(), ...stepFields })
    .describe("A check that must be passed before the machine is powered."),
  z
    .strictObject({
      action: z.literal("reading"),
      id: z.string().describe("Stable name of the reading."),
      at: z.string().describe("Place, as a log entry names it."),
      with: z.string().describe("Instrument, or `none`."),
      powered: z.boolean(),
      ...stepFields,
      ...judged,
    })
    .describe("Something to measure or look at."),
  z
    .strictObject({
      action: z.literal("repair"),
      id: z.string(),
      part: z.string(),
      repair,
      money: z.number().min(0),
      riskMinutes: minutes,
      effort,
      ...stepFields,
      ...judged,
    })
    .describe("Something to replace or mend."),
]);

/** What `boardwake find --json` prints. */
export const findOutputSchema = z.strictObject({
  board: z.string().describe("Id of the board."),
  suspects: listOf(suspectSchema).describe("All parts with a chance above one in 100,000, likeliest first."),
  groups: listOf(
    z.strictObject({
      probability,
      members: listOf(z.strictObject({ part: z.string(), mode, site, detail, probability })),
      parts: listOf(z.string()),
    }),
  ).describe("Faults that no reading from outside can tell apart, up to 40 groups."),
  next: listOf(nextSchema).describe("Steps worth taking now, best first."),
  notInModel: probability.describe("Chance that something is wrong which the model cannot express."),
  nothingLeft: probability.describe("Chance that nothing is at fault (any more)."),
  contradiction: z
    .strictObject({
      entry: z.number().int().describe("Number of the entry that fits the others least."),
      label: z.string(),
      says: z.string(),
      fit: z
        .number()
        .describe("How well it fits what is believed, as a share of the best any fault could do."),
    })
    .nullable()
    .describe("Null if the log hangs together."),
  supplyGate: z.strictObject({
    state: z.enum(["passed", "failed", "open"]),
    implied: z.boolean().describe("True if powered readings in the log stand for it."),
  }),
  pairs: z
    .strictObject({
      looked: z.number().int().describe("Pairs of faults that were scored."),
      settledTogether: z.number().int().describe("Those whose effects meet and were settled together."),
      leftOut: z.number().describe("Bound on the share of belief in pairs that were not scored."),
      leading: listOf(
        z.strictObject({
          parts: z.tuple([z.string(), z.string()]).readonly(),
          faults: z.tuple([z.string(), z.string()]).readonly(),
          probability,
        }),
      ),
    })
    .describe("Two faults at once."),
  stop: z.boolean().describe("True if replacing now beats every reading."),
  warnings: listOf(z.string()),
  problems: problemsField,
});

/** See `findOutputSchema`. */
export type FindOutput = z.infer<typeof findOutputSchema>;

/** The output of a log worked out; `problems` are the warnings its file gave. */
export function findOutput(
  { result, prepared }: Pick<FindSession, "result" | "prepared">,
  problems: readonly Problem[],
): FindOutput {
  const finish = (step: NextStep): FindOutput["next"][number] => {
    const cautions = cautionsOf(step, prepared.board);
    if (step.action === "gate") return { ...step, cautions };
    const outcomes = step.outcomes.map((outcome) => ({
      ...outcome,
      entry: entryFor(step, outcome, prepared.data.model),
    }));
    return { ...step, cautions, outcomes };
  };
  return { ...result, next: result.next.map(finish), problems: problems.map(plainProblem) };
}

function plainProblem({ where, ...problem }: Problem): FindOutput["problems"][number] {
  return { ...problem, where: { ...where } };
}
