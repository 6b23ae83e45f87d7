import { describe, expect, it } from "vitest";
import { createRandom } from "../base/random.js";
import { beltPathMillimetres, correctedPulleyMillimetres, newBelt, type Pulley } from "./belt.js";

/** The textbook formula for an open belt on two pulleys. */
function openBelt(r: number, R: number, C: number): number {
  return 2 * Math.sqrt(C ** 2 - (R - r) ** 2) + Math.PI * (R + r) + 2 * (R - r) * Math.asin((R - r) / C);
}

/** Length of the hull of many points on the pulleys, from its width in all directions (Cauchy's formula). */
function slowPath(pulleys: readonly Pulley[]): number {
  const directions = 20_000;
  let sum = 0;
  for (let i = 0; i < directions; i += 1) {
    const angle = (2 * Math.PI * i) / directions;
    sum += Math.max(
      ...pulleys.map(({ x, y, diameter }) => x * Math.cos(angle) + y * Math.sin(angle) + diameter / 2),
    );
  }
  return (2 * Math.PI * sum) / directions;
}

describe("the path of a belt", () => {
  it("is the textbook's on two pulleys, wherever they stand", () => {
    const near = beltPathMillimetres([
      { x: 0, y: 0, diameter: 12 },
      { x: 80, y: 0, diameter: 60 },
    ]);
    expect(near).toBeCloseTo(openBelt(6, 30, 80), 9);
    const turned = beltPathMillimetres([
      { x: 10, y: 5, diameter: 60 },
      { x: -30, y: 70, diameter: 12 },
    ]);
    expect(turned).toBeCloseTo(openBelt(6, 30, Math.hypot(40, 65)), 9);
  });

  it("agrees with the mean width of the hull for pulleys anywhere", () => {
    const random = createRandom(20260202);
    for (let run = 0; run < 60; run += 1) {
      const pulleys = Array.from({ length: 2 + random.below(5) }, (_, i) => ({
        x: 100 * Math.cos(i * 1.7) + 30 * random.next(),
        y: 100 * Math.sin(i * 1.7) + 30 * random.next(),
        diameter: 2 + 28 * random.next(),
      }));
      expect(beltPathMillimetres(pulleys), `run ${run}`).toBeCloseTo(slowPath(pulleys), 3);
    }
  });

  it("passes over a pulley that it would not touch", () => {
    const corners = [0, 100].flatMap((x) => [0, 50].map((y) => ({ x, y, diameter: 10 })));
    const all = [...corners, { x: 50, y: 25, diameter: 10 }];
    expect(beltPathMillimetres(all)).toBeCloseTo(300 + Math.PI * 10, 9);
  });

  it("is refused for pulleys that cannot be", () => {
    const one = { x: 0, y: 0, diameter: 10 };
    expect(() => beltPathMillimetres([one])).toThrow(RangeError);
    expect(() => beltPathMillimetres([one, { x: 1, y: 0, diameter: 40 }])).toThrow(/lie in each other/);
    expect(() => beltPathMillimetres([one, { x: 90, y: 0, diameter: 0 }])).toThrow(RangeError);
  });
});

describe("a new belt", () => {
  it("is shorter than its path and shorter than the old belt", () => {
    const path = newBelt({ kind: "path", lengthMillimetres: 250 }, "square");
    expect(path.innerMillimetres.usual).toBeCloseTo(250 / 1.06, 9);
    expect(path.innerDiameterMillimetres.usual).toBeCloseTo(250 / 1.06 / Math.PI, 9);
    expect(path.innerMillimetres.low).toBeLessThan(path.innerMillimetres.usual);
    const old = newBelt({ kind: "old-belt", lengthMillimetres: 210 }, "flat");
    expect(old.pathMillimetres).toBeUndefined();
    expect(old.innerMillimetres.usual).toBeCloseTo(200, 9);
  });

  it("leaves the speed to the pulley", () => {
    expect(correctedPulleyMillimetres(10.2, 0.02)).toBeCloseTo(10, 9);
  });
});
