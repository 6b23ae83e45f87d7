import { describe, expect, it } from "vitest";
import { onOneTimeline } from "./one-timeline.js";

/** Bytes of one second each: `takes` names the take that gave each byte, `starts` when it began on that take. */
function moved(takes: readonly number[], starts: readonly number[], take: number): [number, number][] {
  const times = {
    startSeconds: Float64Array.from(starts),
    endSeconds: Float64Array.from(starts, (start) => start + 1),
  };
  const { startSeconds, endSeconds } = onOneTimeline(times, Uint8Array.from(takes), take);
  return [...startSeconds].map((start, i) => [start, endSeconds[i] ?? Number.NaN]);
}

describe("one timeline for several takes", () => {
  it("leaves the bytes of its own take where they are", () => {
    expect(moved([0, 0], [5, 6], 0)).toEqual([
      [5, 6],
      [6, 7],
    ]);
  });

  it("spreads bytes of another take between their neighbours", () => {
    expect(moved([0, 1, 1, 0], [5, 105, 106, 8.5], 0)).toEqual([
      [5, 6],
      [6, 7.25],
      [7.25, 8.5],
      [8.5, 9.5],
    ]);
  });

  it("lets bytes before the first and after the last keep their lengths", () => {
    expect(moved([1, 0, 1], [99, 5, 101], 0)).toEqual([
      [4, 5],
      [5, 6],
      [6, 7],
    ]);
  });

  it("changes nothing if the take gave no byte", () => {
    expect(moved([1, 1], [5, 6], 0)).toEqual([
      [5, 6],
      [6, 7],
    ]);
  });
});
