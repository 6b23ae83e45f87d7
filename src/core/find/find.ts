import { failureModes } from "../board/failure-mode.js";
import type { Case } from "./case/case.js";
import { reportedSince, takenSince } from "./case/since.js";
import { repairCost, repairOf } from "./plan/costs.js";
import { liveHypotheses } from "./plan/problem.js";
import type { PreparedBoard } from "./prepare.js";
import type { PairLimits } from "./reason/pairs.js";
import { Explainer } from "./result/explain.js";
import { leadingPairs, suspectGroups } from "./result/groups.js";
import { planNext } from "./result/next.js";
import type { FindResult, Suspect, SuspectPrior } from "./result/result.js";
import { caseWarnings } from "./result/warnings.js";
import { type BenchHistory, type SolvedCase, solveCase } from "./solve.js";

/** How thoroughly a case is worked out. */
export interface FindOptions {
  readonly pairLimits?: PairLimits;
  /** Number of next steps listed; 0 to skip planning. */
  readonly steps?: number;
  /** Ids of readings and repairs that cannot be done; the plan does without them. */
  readonly excluded?: readonly string[];
  /** Suspects whose evidence is weighed entry by entry, likeliest first; 10 if absent, 0 for none. */
  readonly explained?: number;
  /** What the bench's own closed jobs say of each failure family. */
  readonly history?: BenchHistory;
}

/** Limits that keep a ranking quick; a caller with time to spare may raise them. */
export const usualPairLimits: PairLimits = { candidates: 60, settle: 300 };

const listedFrom = 1e-5;
const usuallyExplained = 10;
const usualSteps = 5;

/** Works a case out in full: suspects, groups, next steps, explanation. */
export function findFaults(prepared: PreparedBoard, logged: Case, options: FindOptions = {}): FindResult {
  const solved = solveCase(prepared, logged, options.pairLimits ?? usualPairLimits, options.history);
  const { space, timeline, pairs, beliefs } = solved;
  const explainer = new Explainer(solved, prepared.pairSettler);
  const plan = planOf(prepared, logged, solved, options);
  return {
    board: prepared.board.id,
    suspects: suspectsOf(prepared, logged, solved, explainer, options.explained ?? usuallyExplained),
    groups: suspectGroups(prepared, space, beliefs),
    next: plan.steps,
    stop: plan.stop,
    notInModel: beliefs.notInModel,
    nothingLeft: beliefs.nothingLeft,
    contradiction: explainer.contradiction(beliefs.notInModel),
    supplyGate: { state: timeline.supplyGate, implied: timeline.gateImplied },
    pairs: {
      looked: pairs.pairs.length,
      settledTogether: pairs.settledTogether,
      leftOut: pairs.leftOut,
      leading: leadingPairs(space, pairs, beliefs),
    },
    warnings: caseWarnings(prepared, timeline, logged),
    problems: timeline.problems,
  };
}

function planOf(
  prepared: PreparedBoard,
  logged: Case,
  solved: SolvedCase,
  { steps: count = usualSteps, excluded = [] }: FindOptions,
): ReturnType<typeof planNext> {
  if (count === 0) return { steps: [], stop: false };
  const { space, timeline, singles, pairs, beliefs, byPart } = solved;
  return planNext({
    space,
    costs: prepared.data.costs,
    logged,
    live: liveHypotheses(space, singles, pairs, beliefs, prepared.pairSettler, {
      limit: 1200,
      neglected: 0.005,
    }),
    byPart,
    powerAllowed: timeline.supplyGate === "passed",
    reported: reportedSince(prepared.data.model, logged),
    taken: takenSince(prepared.circuit, logged),
    excluded: new Set(excluded),
    count,
  });
}

function suspectsOf(
  prepared: PreparedBoard,
  logged: Case,
  solved: SolvedCase,
  explainer: Explainer,
  explained: number,
): Suspect[] {
  const spares = new Set(logged.spares ?? []);
  return solved.byPart
    .filter((belief) => belief.probability >= listedFrom)
    .map((belief, rank): Suspect => {
      const part = prepared.circuit.wiring.parts[belief.part];
      if (part === undefined) throw new RangeError(`part ${belief.part} is not on the board`);
      const lead = belief.faults[0]?.fault;
      const repair = lead === undefined ? "replace" : repairOf(lead);
      return {
        part: part.part.ref,
        type: part.type.type,
        title: part.type.title,
        section: part.part.section,
        socketed: part.part.socketed === true,
        probability: belief.probability,
        modes: belief.faults.slice(0, 6).map(({ fault, probability }) => ({
          mode: fault.mode,
          meaning: failureModes[fault.mode],
          site: fault.site,
          detail: fault.detail,
          manifestation: fault.manifestation,
          probability,
        })),
        prior: priorOf(solved, part.part.ref),
        evidence: rank < explained ? explainer.evidenceFor(belief.part) : [],
        repair,
        repairCost: repairCost(prepared.data.costs, part, repair, spares.has(part.type.type)),
      };
    });
}

/** What the prior of a part is made of, factor by factor; null for a part that cannot fail by itself. */
function priorOf(solved: SolvedCase, ref: string): SuspectPrior | null {
  const prior = solved.priors.parts.find((one) => one.ref === ref);
  if (prior === undefined) return null;
  return {
    handbookPerMillionHours: prior.handbook.value,
    handbookSection: prior.handbook.section,
    trade: prior.tradeFactor.value,
    age: prior.ageFactor.value,
    field: prior.fieldFactor.value,
    events: prior.eventFactor.value,
    ownJobs: prior.historyFactor.value,
    totalPerMillionHours: prior.total,
  };
}
