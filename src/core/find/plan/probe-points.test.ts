import { describe, expect, it } from "vitest";
import { loadCircuit } from "../../../../test/support/board-effects.js";
import { ProbePoints } from "./probe-points.js";

const { wiring } = loadCircuit("pellow-16");
const points = new ProbePoints(wiring);
const best = (name: string): string | undefined => points.best(wiring.netIndex.get(name) ?? -1)?.place;

describe("the place to touch a line", () => {
  it("is a test point where there is one", () => {
    expect(best("/RAS")).toMatch(/^TP9 /);
    expect(best("/RESET")).toMatch(/^TP6 /);
  });

  it("else the leg that drives it, named as the data sheet names it", () => {
    expect(best("/BUFEN")).toBe("U12 pin 11 (4Y)");
    expect(best("COL")).toMatch(/^U3 pin 10/);
  });

  it("else a chip's leg rather than a resistor's", () => {
    expect(best("RA0")).toMatch(/^U\d+ pin /);
  });

  it("is none for a line without pins", () => {
    expect(points.best(-1)).toBeUndefined();
  });

  it("for continuity is a pin of another part on the same line", () => {
    const pin = wiring.pinIndex.get("U17.8") ?? -1;
    const other = points.otherPin(pin) ?? -1;
    expect(wiring.pins[other]?.net).toBe(wiring.pins[pin]?.net);
    expect(wiring.pins[other]?.part).not.toBe(wiring.pins[pin]?.part);
  });
});
