import { createRandom } from "../../src/core/base/random.js";
import type { FindCosts } from "../../src/core/find/plan/costs.js";
import { drawFault } from "../../src/core/find/practice/hidden-fault.js";
import { perturb } from "../../src/core/find/practice/perturb.js";
import { Adviser, planPolicy } from "../../src/core/find/practice/plan-policy.js";
import {
  openingEntries,
  type Played,
  playPolicy,
  practiceInstruments,
} from "../../src/core/find/practice/play.js";
import { usualPolicies } from "../../src/core/find/practice/usual-policies.js";
import { createWorld, type PracticeWorld } from "../../src/core/find/practice/world.js";
import type { PreparedBoard } from "../../src/core/find/prepare.js";
import type { PairLimits } from "../../src/core/find/reason/pairs.js";

/** Conditions under which all policies are compared. */
export const conditions = [
  { id: "own", title: "the engine's own model" },
  { id: "readings-half", title: "readings at half their minutes" },
  { id: "readings-double", title: "readings at double their minutes" },
  { id: "wrong-readings", title: "one reading in twenty wrong, unknown to the engine" },
  { id: "perturbed", title: "a perturbed world" },
] as const;
export type ConditionId = (typeof conditions)[number]["id"];

/** Perturbed worlds that games take in turn. */
const perturbedWorlds = 8;

export interface GameOptions {
  readonly faults: number;
  /** Faults under every condition but the engine's own model. */
  readonly variantFaults: number;
  readonly pairLimits: PairLimits;
  /** Names of the policies that play; all if empty. */
  readonly policies: readonly string[];
  /** Keys of games that were played before and are left out; see `gameKey`. */
  readonly played: readonly string[];
}

/** One policy's game, with what the summary needs. */
export interface GameRecord extends Played {
  readonly condition: ConditionId;
  readonly policy: string;
  readonly seed: number;
}

/** Names one game of a board. */
export function gameKey(game: Pick<GameRecord, "condition" | "policy" | "seed">): string {
  return `${game.condition} ${game.policy} ${game.seed}`;
}

/**
 * Plays the games of one board whose seeds leave `part` over when divided by `parts`. Every policy meets the same
 * fault, the same crash and the same first report; even seeds draw by prior, odd ones evenly over parts.
 */
export function* playGames(
  prepared: PreparedBoard,
  options: GameOptions,
  share: { readonly part: number; readonly parts: number },
): Generator<GameRecord> {
  const own = createWorld(prepared);
  const played = new Set(options.played);
  const perturbed = new Map<number, PracticeWorld>();
  const worldOf = (condition: ConditionId, seed: number): PracticeWorld => {
    if (condition !== "perturbed") return own;
    const which = seed % perturbedWorlds;
    const known = perturbed.get(which) ?? createWorld(prepared, perturb(prepared.data.model, 7000 + which));
    perturbed.set(which, known);
    return known;
  };
  // The adviser remembers what the engine said: conditions with the same costs share it.
  const adviser = new Adviser(prepared, { pairLimits: options.pairLimits });
  for (const { id } of conditions) {
    const bench = { ...prepared, data: { ...prepared.data, costs: costsUnder(prepared.data.costs, id) } };
    const sameCosts = bench.data.costs === prepared.data.costs;
    const own = sameCosts ? adviser : new Adviser(bench, { pairLimits: options.pairLimits });
    const policies = [planPolicy(own), ...usualPolicies];
    const count = id === "own" ? options.faults : options.variantFaults;
    for (let seed = share.part; seed < count; seed += share.parts) {
      const by = seed % 2 === 0 ? "prior" : "even-over-parts";
      const world = worldOf(id, seed);
      const hidden = drawFault(world, createRandom(seed), { by, onlyShowing: true });
      const entries = openingEntries(hidden, createRandom(100_000 + seed));
      for (const [p, policy] of policies.entries()) {
        if (options.policies.length > 0 && !options.policies.includes(policy.name)) continue;
        if (played.has(gameKey({ condition: id, policy: policy.name, seed }))) continue;
        const start = { prepared: bench, instruments: practiceInstruments, entries };
        const game = playPolicy(start, hidden, policy, {
          random: createRandom(200_000 + 10 * seed + p),
          wrongReadings: id === "wrong-readings" ? 0.05 : 0,
          // Replacing part after part takes many short steps; only its minutes end it.
          maximumSteps: p === 0 ? 40 : 1000,
        });
        yield { condition: id, policy: policy.name, seed, ...game };
      }
    }
  }
}

function costsUnder(costs: FindCosts, condition: ConditionId): FindCosts {
  const factor = condition === "readings-half" ? 0.5 : condition === "readings-double" ? 2 : 1;
  if (factor === 1) return costs;
  const tests = Object.fromEntries(
    Object.entries(costs.tests).map(([kind, minutes]) => [kind, minutes * factor]),
  );
  // The keys stay those of the cost file; only their minutes change.
  return { ...costs, tests: { ...costs.tests, ...tests }, switchOff: costs.switchOff * factor };
}
