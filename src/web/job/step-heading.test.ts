import { describe, expect, it } from "vitest";
import { stepHeading } from "./step-heading.js";

function heading(id: string, at: string): string {
  const step = {
    action: "reading",
    id,
    at,
    with: "logic-probe",
    powered: true,
    minutes: 1,
    instruction: "",
    cautions: [],
    informationBits: 0,
    expectedMinutes: 0,
    outcomes: [],
  } as const;
  return stepHeading(step, { id, title: "As it came", why: "", places: [], answers: [], canSkip: true });
}

describe("the heading of a step", () => {
  it.each([
    ["logic-probe:/CAS", "U32.16", "Touch U32 pin 16"],
    ["oscilloscope:PHI0", "U1.3", "Watch U1 pin 3"],
    ["rail:+5", "rail:+5", "Measure +5"],
    ["rail:-5V", "TP4.1", "Measure TP4 pin 1"],
    ["continuity:A", "U4.7-U9.3", "As it came"],
    ["symptom:picture", "picture", "As it came"],
    ["heat-sweep", "board", "As it came"],
  ])("of %s at %s is: %s", (id, at, words) => {
    expect(heading(id, at)).toBe(words);
  });

  it("of a repair is the title it came with", () => {
    const step = { action: "gate", id: "supply", minutes: 1, instruction: "", cautions: [] } as const;
    const view = {
      id: "gate:supply",
      title: "Make the supply safe",
      why: "",
      places: [],
      answers: [],
      canSkip: false,
    };
    expect(stepHeading(step, view)).toBe("Make the supply safe");
  });
});
