import type { Problem } from "../../base/problem.js";
import type { Fault } from "../faults/fault.js";
import type { RowView } from "../reason/space.js";

/** What a job's condition was when something was observed. */
export type Condition = "cold" | "warm" | "unpowered" | "unknown";

/** Why an entry, or part of it, could not be used; its place in the log is added where it is known. */
export type BindProblem = Omit<Problem, "where" | "severity">;

/**
 * One observation turned into likelihoods: how probable what was seen is if a given fault, in a given row of the
 * effect table, is present and shows.
 */
export interface Evidence {
  /** Number of the log entry. */
  readonly number: number;
  /** Equal for observations that are scored alike: lets their likelihoods be remembered. */
  readonly key: string;
  /** For people: what was observed, in plain words. */
  readonly label: string;
  readonly condition: Condition;
  /** Probability of the observation; never 0. No faults: the healthy board. */
  likelihoodOf(view: RowView, faults: readonly Fault[]): number;
  /** Probability of the observation when the fault is none that the model knows. */
  readonly notInModel: number;
}

const smallest = 1e-6;

/** Keeps a likelihood off zero: nothing anyone reports is proof. */
export function bounded(likelihood: number): number {
  return Math.min(1, Math.max(smallest, likelihood));
}

/**
 * Likelihood of an outcome for the unknown fault: half of it spread evenly over the outcomes, half as on a healthy
 * board, so that "not in this model" neither always wins nor always loses.
 */
export function unknownFaultLikelihood(outcomeCount: number, healthy: number): number {
  return bounded(0.5 / outcomeCount + 0.5 * healthy);
}

/** Condition of the machine that an entry states; more than ten minutes under power count as warm. */
export function conditionOf(
  entry: { when?: string | undefined; minutesSincePowerOn?: number | undefined },
  powered: boolean,
): Condition {
  if (!powered) return "unpowered";
  if (entry.when === "cold" || entry.when === "warm") return entry.when;
  if (entry.minutesSincePowerOn !== undefined) return entry.minutesSincePowerOn > 10 ? "warm" : "cold";
  return "unknown";
}

// A part that fails only when warm has, cold or unpowered, at most this chance of showing it (common practice, no source).
const warmFaultShownCold = 0.05;

/** Chance that a fault shows in a condition, by its time code (0 permanent, 1 warm-only, 2 intermittent). */
export function shownChance(
  time: number,
  condition: Condition,
  model: { warmAppears: number; intermittentShown: number },
): number {
  if (time === 0) return 1;
  if (time === 2) return model.intermittentShown;
  if (condition === "warm") return model.warmAppears;
  // Where nothing is said, the reading was taken while the trouble could be seen: that is when people reach for the probe.
  if (condition === "unknown") return model.warmAppears;
  return Math.min(warmFaultShownCold, 1 - model.warmAppears);
}
