import { z } from "zod";
import { sourceReferenceSchema } from "../../board/part-type.js";

const probability = z.number().min(0).max(1);
const distribution = z.array(probability).min(2);

/** Names of the levels of `core/find/settle/value.ts`, in the order of their codes, as the data files write them. */
export const levelKeys = [
  "low",
  "high",
  "pulsing",
  "floating",
  "steady",
  "fight-low",
  "fight-pulsing",
  "looping",
  "unsettled",
  "rail-absent",
  "rail-low",
  "rail-good",
  "rail-high",
  "rail-rippled",
] as const;

const observableSchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  outcomes: z.array(z.string()).min(2).describe("What people report."),
  states: z
    .record(z.string(), distribution)
    .describe("For each state of the machine, how likely each report is."),
});

const symptomSchema = z.strictObject({
  id: z.string(),
  observable: z.string(),
  outcome: z.string(),
  wording: z.string(),
});

const instrumentSchema = z.strictObject({
  outcomes: z.array(z.string()).min(2),
  levels: z
    .partialRecord(z.enum(levelKeys), distribution)
    .describe("For each true level, how likely each report is."),
});

const errorsSchema = z.strictObject({
  comparisonDiffersWhenWrong: probability.describe(
    "A comparison with a good twin shows a difference where the information is wrong.",
  ),
  comparisonDiffersWhenRight: probability.describe("It shows one where there is none."),
  resistanceShortSeen: probability,
  resistanceShortClaimed: probability,
  continuityBreakSeen: probability,
  continuityBreakClaimed: probability,
  deviceFaultSeen: probability.describe("A two-terminal part that is bad measures bad."),
  deviceFaultClaimed: probability,
  hotSeen: probability,
  hotClaimed: probability,
  currentHighSeen: probability,
  currentLowSeen: probability,
  currentClaimed: probability,
  replacementBad: probability.describe("A part fitted as good is bad or the wrong one."),
  reseatCures: probability.describe("Reseating a bad contact cures it."),
  otherSupplyCures: probability,
  piggybackCures: probability.describe(
    "A good chip on top of one with a dead or open output brings it back.",
  ),
  piggybackClaimed: probability,
  testProgramNames: probability.describe("A test program names the chip that is bad."),
  testProgramNamesListener: probability.describe("It names a chip that only receives the bad data."),
  selfTestNames: probability.describe(
    "A self-test that needs neither RAM nor screen says what is bad, or that all is good.",
  ),
  testProgramClaimed: probability.describe("It names a chip for no reason."),
  testerFalsePass: probability.describe("A chip tester passes a bad chip."),
  testerFalseFail: probability.describe("A chip tester fails a good chip."),
  visualSeen: probability.describe("A fault of the kind that can be seen is seen."),
  visualClaimed: probability,
  removalFrees: probability.describe("A line held by a part comes free when the part is taken out."),
  removalClaimed: probability,
  heatMakesItAppear: probability,
  coolingMakesItVanish: probability,
  flexingShows: probability,
  provocationClaimed: probability,
  dropFollowed: probability.describe("The voltage drop along a shorted rail leads near the short."),
  dropClaimed: probability,
  characterBitMissed: probability.describe("A data bit inferred from wrong characters is misread."),
  keyLineMissed: probability,
  complaintGroundless: probability.describe(
    "A machine is complained of although it is right in every respect complained of.",
  ),
});

/**
 * All parameters of the find engine that are neither the board nor priors: how crashed programs behave, what people
 * report in which state, and how far instruments and tests can be trusted. Every value can be overridden per job.
 */
export const findModelSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  sources: z.array(sourceReferenceSchema).min(1),
  crashModes: z.strictObject({ halted: probability, looping: probability, wild: probability }),
  intermittentShown: probability.describe("An intermittent fault shows at a given moment."),
  warmAppears: probability.describe("A warm-only fault shows once the machine is warm."),
  notInModelPrior: probability.describe("The fault is none that the model knows."),
  nothingWrongPrior: probability.describe(
    "Odds that a machine brought in has no fault at all, against one fault of even odds.",
  ),
  observables: z.array(observableSchema).min(1),
  symptoms: z.array(symptomSchema).min(1),
  instruments: z.record(z.string(), instrumentSchema),
  errors: errorsSchema,
});

export type FindModel = z.infer<typeof findModelSchema>;
export type ObservableModel = z.infer<typeof observableSchema>;
export type InstrumentModel = z.infer<typeof instrumentSchema>;
export type SymptomModel = z.infer<typeof symptomSchema>;
