import { describe, expect, it } from "vitest";
import { createRandom } from "../../base/random.js";
import { DueElements } from "./due.js";

describe("the elements due", () => {
  it("come out lowest first, each once", () => {
    const due = new DueElements(200);
    for (const element of [150, 3, 64, 3, 31, 32, 199, 0]) due.add(element);
    const taken = Array.from({ length: 8 }, () => due.take());
    expect(taken).toEqual([0, 3, 31, 32, 64, 150, 199, -1]);
  });

  it("take in lower ones while they are taken out", () => {
    const due = new DueElements(100);
    due.add(70);
    due.add(90);
    expect(due.take()).toBe(70);
    due.add(5);
    due.add(70);
    expect([due.take(), due.take(), due.take(), due.take()]).toEqual([5, 70, 90, -1]);
  });

  it("behave like a sorted set under any mix of adding and taking", () => {
    const random = createRandom(3);
    const due = new DueElements(130);
    const expected = new Set<number>();
    for (let step = 0; step < 5000; step += 1) {
      if (random.below(3) > 0) {
        const element = random.below(130);
        due.add(element);
        expected.add(element);
      } else {
        const lowest = expected.size === 0 ? -1 : Math.min(...expected);
        expect(due.take()).toBe(lowest);
        expected.delete(lowest);
      }
    }
  });
});
