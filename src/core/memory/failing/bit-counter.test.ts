import { expect, it } from "vitest";
import { createRandom } from "../../base/random.js";
import { BitCounter, countedBits } from "./bit-counter.js";

it("counts each bit as often as it is set", () => {
  const random = createRandom(9);
  const counter = new BitCounter();
  const naive = new Int32Array(countedBits);
  for (let round = 0; round < 3; round += 1) {
    for (let k = 0; k < 1000; k += 1) {
      const word = random.below(4) === 0 ? 0xffff : random.below(0x10000);
      counter.add(word);
      for (let bit = 0; bit < countedBits; bit += 1) naive[bit] = (naive[bit] ?? 0) + ((word >> bit) & 1);
    }
    expect([...counter.counts()]).toEqual([...naive]);
  }
});
