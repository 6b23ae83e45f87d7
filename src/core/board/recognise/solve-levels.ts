import type { Expression } from "../expression.js";
import type { Levels, NetLevels, Ternary, TypedPart } from "./net-levels.js";

/** What an expression over a part's pins should come to. */
export interface Wish {
  readonly typed: TypedPart;
  readonly expression: Expression;
  readonly wanted: 0 | 1;
}

/** Evaluations of expressions that may still be spent; counts down over all searches that share it. */
export interface SearchBudget {
  evaluations: number;
}

// Trials before a search is given up; decoders of the time need a few dozen.
const maximumTrials = 1500;

/**
 * Finds levels of open nets under which all wishes come true, by trying one open net after the other; nets that do
 * not matter stay without a level. `mayTry` says which nets may be given a level, `firstTry` which level comes first.
 * Undefined if there is no solution or none was found in a bounded number of trials. Deterministic.
 */
export function solveLevels(
  model: NetLevels,
  wishes: readonly Wish[],
  given: Levels,
  options: {
    readonly mayTry: (net: string) => boolean;
    readonly firstTry: (net: string) => 0 | 1;
    readonly budget: SearchBudget;
  },
): Map<string, 0 | 1> | undefined {
  const tried = new Map<string, 0 | 1>(given);
  let trials = 0;

  const search = (depth: number): boolean => {
    trials += 1;
    if (trials > maximumTrials) return false;
    let next: string | undefined;
    let isOpen = false;
    for (const wish of wishes) {
      options.budget.evaluations -= 1;
      if (options.budget.evaluations < 0) return false;
      const open = new Set<string>();
      const level: Ternary = model.evaluate(wish.typed, wish.expression, tried, open);
      if (level === wish.wanted) continue;
      if (level !== undefined) return false;
      isOpen = true;
      if (next === undefined) for (const net of open) if (options.mayTry(net)) next ??= net;
    }
    if (!isOpen) return true;
    // The depth bounds the recursion: one net is settled at each step.
    if (next === undefined || depth > 60) return false;
    const first = options.firstTry(next);
    for (const level of [first, first === 1 ? 0 : 1] as const) {
      tried.set(next, level);
      if (search(depth + 1)) return true;
    }
    tried.delete(next);
    return false;
  };

  if (!search(0)) return undefined;
  const found = new Map<string, 0 | 1>();
  for (const [net, level] of tried) if (!given.has(net)) found.set(net, level);
  return found;
}
