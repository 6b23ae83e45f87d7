import { nearestName } from "../base/nearest.js";
import type { Problem } from "../base/problem.js";
import type { Case } from "./case/case.js";
import { type DatedEvent, eventsOfCase } from "./case/events.js";
import { readTimeline, type Timeline } from "./evidence/timeline.js";
import { enumerateFaults } from "./faults/enumerate.js";
import { oddsFromPriors, spreadTouches, type TouchOdds } from "./faults/odds.js";
import type { PreparedBoard } from "./prepare.js";
import { type BoardPriorOptions, type BoardPriors, boardPriors } from "./priors/board-priors.js";
import { faultIntensity } from "./priors/expected-faults.js";
import { faultFamilies } from "./priors/fault-family.js";
import { type Beliefs, beliefByPart, formBeliefs, type PartBelief } from "./reason/beliefs.js";
import type { Arising } from "./reason/history.js";
import { type PairLimits, type PairResult, scorePairs } from "./reason/pairs.js";
import { type ArisingOdds, type SinglePosterior, scoreSingles } from "./reason/posterior.js";
import type { RememberedSpace } from "./reason/remembered.js";
import { createSpace, type FaultSpace, hypothesisOfFault } from "./reason/space.js";

/** Everything inferred from a case, for callers that go on reasoning with it. */
export interface SolvedCase {
  readonly space: FaultSpace;
  readonly timeline: Timeline;
  readonly singles: SinglePosterior;
  readonly pairs: PairResult;
  readonly beliefs: Beliefs;
  readonly byPart: readonly PartBelief[];
  /** Odds with which what the log dates may have made each fault. */
  readonly arising: ArisingOdds;
  readonly priors: BoardPriors;
}

/** What the bench's own closed jobs say of each failure family; see `updateByHistory`. */
export type BenchHistory = NonNullable<BoardPriorOptions["history"]>;

// Spaces differ by the job's year, early events and prior factors; a few jobs may be open at once.
const rememberedSpaces = 6;

/** Infers how likely each fault is after a log. */
export function solveCase(
  prepared: PreparedBoard,
  logged: Case,
  pairLimits: PairLimits,
  history: BenchHistory = new Map(),
): SolvedCase {
  const events = eventsOfCase(prepared.circuit, logged);
  const { space, priors, evidence } = spaceFor(prepared, logged, events.early, history);
  const timeline = readTimeline(space, logged);
  const arising = datedFaults(prepared, space, events.dated, timeline);
  const singles = scoreSingles(space, timeline, arising, evidence);
  const pairs = scorePairs(space, timeline, singles, arising, prepared.pairSettler, pairLimits);
  const beliefs = formBeliefs(space, singles, pairs);
  const byPart = beliefByPart(space, pairs, beliefs);
  return {
    space,
    timeline: {
      ...timeline,
      problems: [...timeline.problems, ...events.problems, ...unknownFactors(prepared, logged)],
    },
    singles,
    pairs,
    beliefs,
    byPart,
    arising,
    priors,
  };
}

/** The fault space under a job's priors; made once for each set of priors. */
function spaceFor(
  prepared: PreparedBoard,
  logged: Case,
  early: BoardPriorOptions["events"] & object,
  history: BenchHistory,
): RememberedSpace {
  const key = JSON.stringify([logged.year, early, logged.priorFactors, [...history]]);
  const known = prepared.spaces.get(key);
  if (known !== undefined) return known;
  const { circuit, data, board } = prepared;
  const priors = boardPriors(data.failure, board, (name) => data.types.get(name), {
    ...(logged.year === undefined ? {} : { presentYear: logged.year }),
    events: early,
    history,
    overrides: overridesOf(prepared, logged),
  });
  const { faults } = enumerateFaults(circuit, oddsFromPriors(data.failure, priors));
  const space = createSpace({
    circuit,
    model: data.model,
    faults,
    effects: prepared.list.effects,
    table: prepared.table,
    rates: prepared.rates,
    expectedFaults: faultIntensity(priors.expectedFaults),
  });
  // Work done before the machine failed adds to the odds of its faults having been there from the start.
  const touches = priors.touches.map(
    ({ ref, mode, probability }): TouchOdds => ({ ref, mode, probability, epoch: 0 }),
  );
  for (const [f, list] of spreadTouches(faults, (part) => refOf(prepared, part), touches)) {
    const h = hypothesisOfFault(f);
    for (const one of list) space.odds[h] = (space.odds[h] as number) + one.odds;
  }
  const made: RememberedSpace = { space, priors, evidence: new Map() };
  if (prepared.spaces.size >= rememberedSpaces) {
    const oldest = prepared.spaces.keys().next();
    if (oldest.done !== true) prepared.spaces.delete(oldest.value);
  }
  prepared.spaces.set(key, made);
  return made;
}

/** Odds of faults that work or mishaps during the job may have made, by fault. */
function datedFaults(
  prepared: PreparedBoard,
  space: FaultSpace,
  dated: readonly DatedEvent[],
  timeline: Timeline,
): ArisingOdds {
  // Boundary e begins epoch e + 1.
  const epochOf = new Map(timeline.boundaries.map(({ number }, e) => [number, e + 1]));
  const current = dated.filter(({ number }) => epochOf.has(number));
  if (current.length === 0) return () => [];
  const { touches } = boardPriors(
    prepared.data.failure,
    prepared.board,
    (name) => prepared.data.types.get(name),
    {
      events: current.map(({ event }) => event),
    },
  );
  const odds = touches.map(
    ({ event, ref, mode, probability }): TouchOdds => ({
      ref,
      mode,
      probability,
      epoch: epochOf.get(current[event]?.number ?? 0) ?? 0,
    }),
  );
  const byFault = new Map<string, readonly Arising[]>();
  for (const [f, list] of spreadTouches(space.faults, (part) => refOf(prepared, part), odds)) {
    const fault = space.faults[f];
    if (fault !== undefined) byFault.set(fault.id, list);
  }
  return (fault) => byFault.get(fault.id) ?? [];
}

function refOf(prepared: PreparedBoard, part: number): string {
  return prepared.circuit.wiring.parts[part]?.part.ref ?? "?";
}

/** A factor on something the board does not have would be without effect and without a word. */
function unknownFactors(prepared: PreparedBoard, logged: Case): Problem[] {
  const { partIndex } = prepared.circuit.wiring;
  const known = [...partIndex.keys(), ...faultFamilies];
  return Object.keys(logged.priorFactors ?? {}).flatMap((name): Problem[] => {
    if (known.includes(name)) return [];
    const near = nearestName(name, known);
    return [
      {
        code: "unknown-prior-factor",
        severity: "error",
        message: `a prior factor is set for '${name}', which is neither a part of ${prepared.board.title} nor a failure family`,
        where: { field: `priorFactors.${name}` },
        hint: near === undefined ? `Families: ${faultFamilies.join(", ")}.` : `Did you mean ${near}?`,
      },
    ];
  });
}

/** Factors the user set, per part or per family, stand beside the other factors as a correction of their own. */
function overridesOf(prepared: PreparedBoard, logged: Case): NonNullable<BoardPriorOptions["overrides"]> {
  const parts: Record<string, { history: number }> = {};
  const families: Record<string, { history: number }> = {};
  for (const [name, factor] of Object.entries(logged.priorFactors ?? {})) {
    if (prepared.circuit.wiring.partIndex.has(name)) parts[name] = { history: factor };
    else families[name] = { history: factor };
  }
  return { parts, families };
}
