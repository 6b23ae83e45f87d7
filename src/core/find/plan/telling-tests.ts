import type { PlannerTest } from "../../inference/planner-input.js";
import type { Condition } from "../evidence/evidence.js";
import type { FaultSpace } from "../reason/space.js";
import { forecast, type LiveHypothesis, tellsNothing } from "./problem.js";
import type { TestProposal } from "./test-list.js";

/** A proposed reading with its forecast. */
export interface UsableTest {
  readonly proposal: TestProposal;
  readonly test: PlannerTest;
}

/** Tests that tell something; of several that tell exactly the same the cheapest, at equal cost the first. */
export function tellingTests(
  space: FaultSpace,
  live: readonly LiveHypothesis[],
  tests: readonly TestProposal[],
): UsableTest[] {
  const kept: UsableTest[] = [];
  const placesOf = new Map<number, number[]>();
  for (const proposal of tests) {
    const observable = forecast(space, live, proposal.look, conditionOfTest(proposal));
    if (tellsNothing(observable)) continue;
    const test: PlannerTest = { id: proposal.id, costMinutes: proposal.minutes, observable };
    const key = hashOf(observable.codes);
    const places = placesOf.get(key) ?? [];
    const twin = places.find((place) => {
      const other = kept[place];
      return other !== undefined && tellsTheSame(other, { proposal, test });
    });
    if (twin === undefined) {
      places.push(kept.length);
      placesOf.set(key, places);
      kept.push({ proposal, test });
    } else if (proposal.minutes < (kept[twin]?.proposal.minutes ?? 0)) kept[twin] = { proposal, test };
  }
  return kept;
}

function tellsTheSame(a: UsableTest, b: UsableTest): boolean {
  const sameNumbers = (x: ArrayLike<number>, y: ArrayLike<number>): boolean => {
    if (x.length !== y.length) return false;
    for (let i = 0; i < x.length; i += 1) if (x[i] !== y[i]) return false;
    return true;
  };
  return (
    sameNumbers(a.test.observable.codes, b.test.observable.codes) &&
    sameNumbers(a.test.observable.likelihood, b.test.observable.likelihood) &&
    a.proposal.look.outcomes.join() === b.proposal.look.outcomes.join()
  );
}

/** FNV-1a over the codes; equal columns must meet, different ones are compared in full. */
function hashOf(codes: Uint8Array): number {
  let hash = 0x811c9dc5;
  for (const code of codes) hash = Math.imul(hash ^ code, 0x01000193);
  return hash;
}

/** Condition in which a test finds the machine; as an entry of the log says it. */
function conditionOfTest({ powered, kind }: TestProposal): Condition {
  if (!powered) return "unpowered";
  return kind === "warmed" || kind === "cooled" ? "warm" : "unknown";
}
