import { describe, expect, it } from "vitest";
import { judgeProcessor } from "../../src/core/find/settle/elements-processor.js";
import { isWrong } from "../../src/core/find/settle/value.js";
import { viewMachine } from "../../src/core/find/table/chain.js";
import { loadCircuit } from "../support/board-effects.js";

describe.each(["pellow-16", "merrow"])("the healthy board %s", (id) => {
  const { engine, processor, unexplained, wiring } = loadCircuit(id);

  it("explains every net, none of which is wrong", () => {
    expect(unexplained).toEqual([]);
    const wrong = wiring.nets.filter((_, net) => isWrong(engine.unionOf(net)));
    expect(wrong).toEqual([]);
  });

  it("runs its processor", () => {
    expect(processor && judgeProcessor(engine, processor.wiring, processor.reset)).toEqual({
      outcome: "running",
      pin: -1,
    });
  });

  it("does all its user asks of it", () => {
    expect(viewMachine(engine)).toEqual({
      picture: "normal",
      sound: "beeps",
      keys: "work",
      reaction: "alive",
      "memory-figure": "right",
      tape: "works",
      lamp: "lit",
      whole: "works",
    });
  });
});
