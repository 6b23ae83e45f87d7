import { describe, expect, it } from "vitest";
import { createRandom } from "../../src/core/base/random.js";
import { applyChanges, revertChanges } from "../../src/core/find/faults/change.js";
import { enumerateFaults } from "../../src/core/find/faults/enumerate.js";
import type { Effect } from "../../src/core/find/faults/fault.js";
import type { Engine } from "../../src/core/find/settle/engine.js";
import { settleNaively } from "../naive/settle.naive.js";
import { everyMode, loadCircuit } from "../support/board-effects.js";

/** All that a settling may change. */
function stateOf(engine: Engine) {
  return {
    nets: engine.nets.slice(),
    drive: engine.drive.slice(),
    pinForce: engine.pinForce.slice(),
    driverForce: engine.driverForce.slice(),
    netForce: engine.netForce.slice(),
    bridged: engine.bridged.slice(),
    pullOff: engine.pullOff.slice(),
    partFaults: [...engine.partFaults],
    unsettled: [...engine.unsettledNets],
  };
}

const settleAndTakeBack = (engine: Engine, effect: Effect): Int32Array => {
  const mark = engine.mark();
  applyChanges(engine, effect.changes);
  engine.settle();
  const found = engine.nets.slice();
  revertChanges(engine, effect.changes);
  engine.undo(mark);
  return found;
};

describe.each(["pellow-16", "merrow"])("settling on %s", (id) => {
  const circuit = loadCircuit(id);
  const { effects } = enumerateFaults(circuit, everyMode);
  const { engine } = circuit;

  it("takes back everything, whatever was put on in whatever order", () => {
    const random = createRandom(41);
    const healthy = stateOf(engine);
    for (let round = 0; round < 40; round += 1) {
      const chosen = Array.from({ length: 1 + random.below(4) }, () => random.below(effects.length));
      const mark = engine.mark();
      for (const e of chosen) {
        applyChanges(engine, effects[e]?.changes ?? []);
        if (random.below(2) === 0) engine.settle();
      }
      engine.settle();
      for (const e of chosen) revertChanges(engine, effects[e]?.changes ?? []);
      engine.undo(mark);
      expect(stateOf(engine), `effects ${chosen.join(", ")}`).toEqual(healthy);
    }
  });

  it("gives the same for an effect whatever was settled before it", () => {
    const random = createRandom(43);
    const sample = Array.from({ length: 25 }, () => effects[random.below(effects.length)]);
    const first = sample.map((effect) => effect && settleAndTakeBack(engine, effect));
    const again = sample.toReversed().map((effect) => effect && settleAndTakeBack(engine, effect));
    expect(again.reverse()).toEqual(first);
  });

  it("finds what working everything out again until nothing changes finds", () => {
    const random = createRandom(42);
    const step = 29;
    let compared = 0;
    for (let e = random.below(step); e < effects.length; e += step) {
      const { changes, key } = effects[e] ?? { changes: [], key: "" };
      const mark = engine.mark();
      applyChanges(engine, changes);
      engine.settle();
      const settled = engine.nets.slice();
      const chases = engine.unsettledNets.length > 0;
      revertChanges(engine, changes);
      engine.undo(mark);
      if (chases) continue;
      settleNaively(engine, changes);
      expect(engine.nets, `effect ${e}: ${key}`).toEqual(settled);
      // What the slow way left due must change nothing more.
      engine.settle();
      expect(engine.nets, `effect ${e}: ${key}`).toEqual(settled);
      revertChanges(engine, changes);
      engine.undo(mark);
      compared += 1;
    }
    expect(compared).toBeGreaterThan(80);
  });
});
