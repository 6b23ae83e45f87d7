import { describe, expect, it } from "vitest";
import { createRandom } from "../../base/random.js";
import { flatten, orderFromInputs } from "./order.js";

describe("the order from inputs to outputs", () => {
  it("puts whatever feeds a thing before it, however the things are numbered", () => {
    const random = createRandom(8);
    for (let round = 0; round < 100; round += 1) {
      const count = 2 + random.below(30);
      const number = [...Array(count).keys()].sort(() => random.next() - 0.5);
      const feeds: number[][] = Array.from({ length: count }, () => []);
      for (let edge = 0; edge < count * 2; edge += 1) {
        const [a, b] = [random.below(count), random.below(count)];
        if (a === b) continue;
        feeds[number[Math.min(a, b)] ?? 0]?.push(number[Math.max(a, b)] ?? 0);
      }
      const order = orderFromInputs(feeds);
      expect([...order].sort((a, b) => a - b)).toEqual([...Array(count).keys()]);
      const place = new Map(order.map((thing, i) => [thing, i]));
      for (const [thing, list] of feeds.entries()) {
        for (const fed of list) expect(place.get(thing)).toBeLessThan(place.get(fed) ?? -1);
      }
    }
  });

  it("takes circles in, after what feeds them and before what they feed", () => {
    // 0 feeds the circle 1, 2, 3, which feeds 4; 5 feeds itself.
    const order = orderFromInputs([[1], [2], [3], [1, 4], [], [5]]);
    expect(order).toHaveLength(6);
    expect(order.indexOf(0)).toBeLessThan(order.indexOf(1));
    expect(order.indexOf(3)).toBeLessThan(order.indexOf(4));
  });

  it("does not run out of stack on a long chain", () => {
    const length = 50_000;
    const feeds = Array.from({ length }, (_, i) => (i + 1 < length ? [i + 1] : []));
    expect(orderFromInputs(feeds)).toEqual([...feeds.keys()]);
  });
});

describe("flattened lists", () => {
  it("stand one after the other", () => {
    const { start, items } = flatten([[7, 8], [], new Set([9])]);
    expect([...start]).toEqual([0, 2, 2, 3]);
    expect([...items]).toEqual([7, 8, 9]);
  });
});
