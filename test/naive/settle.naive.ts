import { applyChanges, type Change } from "../../src/core/find/faults/change.js";
import type { Engine } from "../../src/core/find/settle/engine.js";

/**
 * Settles changes the slow way: works every net and every element of the board out again, outputs before inputs, round
 * after round until a whole round changes nothing. Knows nothing of who listens to what. Returns the rounds it took;
 * throws `RangeError` if it takes more than `limit`.
 */
export function settleNaively(engine: Engine, changes: readonly Change[], limit = 500): number {
  applyChanges(engine, changes);
  for (let round = 1; round <= limit; round += 1) {
    const before = [engine.nets.slice(), engine.drive.slice()];
    for (let net = 0; net < engine.wiring.nets.length; net += 1) engine.refreshNet(net);
    for (const element of engine.elements.toReversed()) element.evaluate(engine);
    const after = [engine.nets, engine.drive];
    if (after.every((table, t) => table.every((value, i) => value === before[t]?.[i]))) return round;
  }
  throw new RangeError(`the values did not come to rest within ${limit} rounds`);
}
