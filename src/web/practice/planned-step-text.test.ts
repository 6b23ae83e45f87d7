import { describe, expect, it } from "vitest";
import { plannedStepText } from "./planned-step-text.js";

describe("a step of the plan's path", () => {
  it.each([
    ["logic-probe:/WAIT at U17.11", "Touch U17.11, line /WAIT"],
    ["logic-probe:RAM GO at U21.1", "Touch U21.1, line RAM GO"],
    ["symptom:keys", "Look at keys"],
    ["replace:U13", "Replace U13"],
    ["heat-sweep:board", "Heat sweep board"],
    ["Replace U13", "Replace U13"],
  ])("%s reads: %s", (step, words) => {
    expect(plannedStepText(step)).toBe(words);
  });
});
