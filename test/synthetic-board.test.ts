import { describe, expect, it } from "vitest";
import { mostGroups, syntheticBoard } from "../bench/support/synthetic-board.js";
import { buildCircuit } from "../src/core/find/settle/build.js";
import { judgeProcessor } from "../src/core/find/settle/elements-processor.js";
import { loadPartTypes } from "./boards/support.js";

describe("the synthetic board for measuring growth", () => {
  it.each([1, 3])("of %i groups is healthy and runs", (groups) => {
    const board = syntheticBoard(groups);
    const { engine, processor, unexplained } = buildCircuit(board, loadPartTypes());
    expect(unexplained).toEqual([]);
    expect(processor && judgeProcessor(engine, processor.wiring, processor.reset).outcome).toBe("running");
  });

  it("grows by a hundred parts with each group", () => {
    const sizes = [1, 2, 4, 8].map((groups) => syntheticBoard(groups).parts.length);
    expect(sizes.map((size) => Math.round(size / 100))).toEqual([1, 2, 4, 8]);
    expect(() => syntheticBoard(mostGroups + 1)).toThrow(RangeError);
  });
});
