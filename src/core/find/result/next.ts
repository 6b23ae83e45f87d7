import { rankActions } from "../../inference/planner.js";
import type { PlannerRepair, PlannerTest, RankedAction } from "../../inference/planner-input.js";
import type { Case, Instrument } from "../case/case.js";
import { type FindCosts, type RepairKind, repairOf } from "../plan/costs.js";
import type { LiveHypothesis } from "../plan/problem.js";
import { listTests } from "../plan/proposals.js";
import { type RepairOption, repairOptions } from "../plan/repair-options.js";
import { tellingTests, type UsableTest } from "../plan/telling-tests.js";
import type { TestProposal } from "../plan/test-list.js";
import type { PartBelief } from "../reason/beliefs.js";
import type { FaultSpace } from "../reason/space.js";
import { gateStep, repairCautions } from "./cautions.js";
import type { NextStep, OutcomeForecast } from "./result.js";

export interface PlanInput {
  readonly space: FaultSpace;
  readonly costs: FindCosts;
  readonly logged: Case;
  readonly live: readonly LiveHypothesis[];
  readonly byPart: readonly PartBelief[];
  readonly powerAllowed: boolean;
  readonly reported: ReadonlySet<string>;
  readonly taken: ReadonlySet<string>;
  /** Ids of readings and repairs that cannot be done. */
  readonly excluded: ReadonlySet<string>;
  /** How many steps to list. */
  readonly count: number;
}

/** Plans the next steps: readings and repairs ranked by expected minutes to a working machine. */
export function planNext(input: PlanInput): { steps: NextStep[]; stop: boolean } {
  const { space, costs, logged, live } = input;
  const steps: NextStep[] = [];
  if (!input.powerAllowed) steps.push(gateStep(space));
  const listed = listTests(space, live, costs, {
    instruments: logged.instruments as readonly Instrument[],
    powerAllowed: input.powerAllowed,
    reported: input.reported,
    taken: input.taken,
    suspects: input.byPart.slice(0, 12).map((belief) => belief.part),
    rateKnown: (net) => (space.rates[net] as number) > 0,
  });
  // A log that does not list the drawer leaves it open what is in it; one that does, rules out what is not listed.
  const tests = listed.filter(
    ({ id, needsSpare }) =>
      !input.excluded.has(id) &&
      (needsSpare === undefined || logged.spares === undefined || logged.spares.includes(needsSpare)),
  );
  const usable = tellingTests(space, live, tests);
  const options = repairOptions(space, live, costs, new Set(logged.spares ?? [])).filter(
    ({ id }) => !input.excluded.has(id),
  );
  const repairs: PlannerRepair[] = options.map((option) => ({
    id: option.id,
    costMinutes: option.cost.totalMinutes,
    fixes: Int32Array.from(option.fixes),
    successProbability:
      option.kind === "reseat" ? space.model.errors.reseatCures : 1 - space.model.errors.replacementBad,
  }));
  repairs.push({ id: "give-up", costMinutes: costs.repairs.giveUp, fixes: "everything" });
  const weights = Float64Array.from(live, (one) => one.weight);
  const repairsNeeded = Uint8Array.from(
    live,
    (one) => new Set(one.faults.map((f) => `${f.part}/${repairOf(f)}`)).size || 1,
  );
  const ranking = rankActions(
    { weights, tests: usable.map((u) => u.test), repairs, repairsNeeded },
    { depth: 2, beam: 10, neglectedWeight: 0.01 },
  );
  for (const action of ranking.actions) {
    if (steps.length >= input.count) break;
    const step = stepOf(input, action, usable, options);
    if (step !== undefined) steps.push(step);
  }
  // Whoever would rather act than measure is told what to do, even where measuring on is cheaper.
  if (input.count >= leastForRepair && !steps.some((step) => step.action === "repair")) {
    const best = ranking.actions.find(({ kind, index }) => kind === "repair" && options[index] !== undefined);
    const step = best === undefined ? undefined : stepOf(input, best, usable, options);
    if (step !== undefined) steps.splice(input.count - 1, 1, step);
  }
  return { steps, stop: saysStop(steps[0]) };
}

/** Lists of at least so many steps hold the best repair. */
const leastForRepair = 3;

/** The step an action stands for; undefined for giving up, and for a repair while the machine may not be powered. */
function stepOf(
  input: PlanInput,
  action: RankedAction,
  usable: readonly UsableTest[],
  options: readonly RepairOption[],
): NextStep | undefined {
  const { informationBits, expectedTotalCost } = action;
  if (action.kind === "test") {
    const found = usable[action.index];
    return found === undefined
      ? undefined
      : readingStep(input, found.proposal, found.test, informationBits, expectedTotalCost);
  }
  const option = options[action.index];
  // The check after a repair needs power.
  return option === undefined || !input.powerAllowed
    ? undefined
    : repairStep(input, option, informationBits, expectedTotalCost, action.outcomeProbabilities);
}

// A cheap trial swap is a reading in disguise; measuring has come to an end when a repair is more likely than not to help.
const stopProbability = 0.5;

function saysStop(first: NextStep | undefined): boolean {
  return first?.action === "repair" && (first.outcomes[0]?.probability ?? 0) >= stopProbability;
}

function readingStep(
  input: PlanInput,
  proposal: TestProposal,
  test: PlannerTest,
  informationBits: number,
  expectedMinutes: number,
): NextStep {
  const { live } = input;
  const { codes, outcomeCount, likelihood } = test.observable;
  const outcomes = proposal.look.outcomes
    .map((shows, o) => {
      const weights = Float64Array.from(
        live,
        (one, i) => one.weight * (likelihood[(codes[i] as number) * outcomeCount + o] as number),
      );
      return { shows, weights, probability: weights.reduce((sum, weight) => sum + weight, 0) };
    })
    .sort((a, b) => b.probability - a.probability)
    // Of an outcome and its opposite both are listed, however rare the one is.
    .filter(({ probability }, place) => probability > listedOutcome || (place < 2 && probability > 0))
    .map(({ shows, weights }) => outcomeForecast(input, shows, weights));
  return {
    action: "reading",
    id: proposal.id,
    at: proposal.at,
    with: proposal.with,
    powered: proposal.powered,
    minutes: proposal.minutes,
    instruction: proposal.instruction,
    informationBits,
    expectedMinutes,
    outcomes,
  };
}

/** Rarer outcomes are not listed with a step. */
const listedOutcome = 0.002;

function outcomeForecast(input: PlanInput, shows: string, weights: Float64Array): OutcomeForecast {
  const { parts } = input.space.circuit.wiring;
  const probability = weights.reduce((sum, w) => sum + w, 0);
  const byPart = new Float64Array(parts.length);
  for (const [i, { faults }] of input.live.entries()) {
    const share = (weights[i] as number) / probability;
    const [first, second] = faults;
    if (first !== undefined) byPart[first.part] = (byPart[first.part] as number) + share;
    if (second !== undefined && second.part !== first?.part)
      byPart[second.part] = (byPart[second.part] as number) + share;
  }
  const leads = [...byPart.entries()]
    .filter(([, share]) => share > 0)
    .map(([part, share]) => ({ part: parts[part]?.part.ref ?? "?", probability: share }))
    .sort((a, b) => b.probability - a.probability || (a.part < b.part ? -1 : 1))
    .slice(0, 4);
  const named = leads.slice(0, 3).map((lead) => `${lead.part} ${Math.round(lead.probability * 100)} %`);
  return {
    shows,
    probability,
    leads,
    means: named.length === 0 ? "nothing in the model" : `then ${named.join(", ")}`,
  };
}

function repairStep(
  input: PlanInput,
  option: RepairOption,
  informationBits: number,
  expectedMinutes: number,
  probabilities: readonly number[],
): NextStep {
  const part = input.space.circuit.wiring.parts[option.part];
  const ref = part?.part.ref ?? "?";
  const title = part?.type.type ?? "?";
  const verbs: Record<RepairKind, string> = {
    replace:
      option.cost.effort === "socketed"
        ? `Swap ${ref} (${title}) in its socket for a good one and try.`
        : `Replace ${ref} (${title}) and try.`,
    reseat: `Take ${ref} (${title}) out of its socket, clean legs and contacts, put it back and try.`,
    resolder: `Resolder the joints of ${ref} (${title}), bridge broken tracks, and try.`,
    clean: `Clean between the pins of ${ref} (${title}), remove solder bridges, and try.`,
  };
  const fixed = new Set(option.fixes);
  const split = (inside: boolean): Float64Array =>
    Float64Array.from(input.live, (one, i) => (fixed.has(i) === inside ? one.weight : 0));
  return {
    action: "repair",
    id: option.id,
    part: ref,
    repair: option.kind,
    minutes: option.cost.minutes,
    money: option.cost.money,
    riskMinutes: option.cost.riskMinutes,
    effort: option.cost.effort,
    instruction: verbs[option.kind],
    cautions: repairCautions(option.kind, option.cost.effort, part?.part.section ?? "other"),
    informationBits,
    expectedMinutes,
    outcomes: [
      {
        shows: "fixed",
        probability: probabilities[0] ?? 0,
        leads: [],
        means: "done: confirm by what failed before",
      },
      { ...outcomeForecast(input, "unchanged", split(false)), probability: probabilities[1] ?? 0 },
    ],
  };
}
