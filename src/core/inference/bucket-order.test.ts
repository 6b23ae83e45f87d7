import { describe, expect, it } from "vitest";
import { createRandom } from "../base/random.js";
import { createBucketOrder } from "./bucket-order.js";

describe("createBucketOrder", () => {
  it("sorts as an ordinary sort does, over many sizes and scales", () => {
    const order = createBucketOrder(400);
    for (let seed = 1; seed <= 60; seed += 1) {
      const random = createRandom(seed);
      const count = seed < 20 ? seed : 17 + random.below(380);
      const keys = Float64Array.from({ length: 400 }, () =>
        random.next() < 0.1 ? 0 : Math.exp(random.next() * 40 - 30),
      );
      const sorted = Array.from(order.sort(keys, count).subarray(0, count));
      expect(
        [...sorted].sort((a, b) => a - b),
        `seed ${seed}`,
      ).toEqual(Array.from({ length: count }, (_, i) => i));
      const values = sorted.map((i) => keys[i] ?? Number.NaN);
      expect(values, `seed ${seed}`).toEqual([...values].sort((a, b) => b - a));
    }
  });

  it("handles equal keys, all zeros and nothing at all", () => {
    const order = createBucketOrder(40);
    expect(order.sort(new Float64Array(40), 40)).toHaveLength(40);
    expect(order.sort(new Float64Array(40).fill(3), 40)[39]).toBe(39);
    expect(() => order.sort(new Float64Array(40), 0)).not.toThrow();
  });
});
