import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { entropyBits, equalHuffmanLength, huffmanLength } from "../../../src/core/inference/information.js";
import { expectRows } from "../support/expect-rows.js";
import { referenceRows } from "./rows.js";

const rounding = 1e-9;

describe("bounds on the number of tests", () => {
  expectRows(referenceRows);

  it("entropy <= Huffman < entropy + 1", () => {
    // Powers of a random base make distributions from flat to extremely lopsided.
    const weights = fc.array(fc.double({ min: -40, max: 0, noNaN: true }), { minLength: 1, maxLength: 60 });
    fc.assert(
      fc.property(weights, (exponents) => {
        const raw = exponents.map((exponent) => 2 ** exponent);
        const total = raw.reduce((sum, w) => sum + w, 0);
        const normalised = raw.map((w) => w / total);
        const entropy = entropyBits(normalised);
        const huffman = huffmanLength(normalised);
        expect(huffman).toBeGreaterThanOrEqual(entropy - rounding);
        // Strict in exact arithmetic; the gap comes closer to one than rounding when one suspect is nearly sure.
        expect(huffman).toBeLessThan(entropy + 1 + rounding);
      }),
      { seed: 1952, numRuns: 2000 },
    );
  });

  it("is met exactly by powers of one half", () => {
    const weights = [1 / 2, 1 / 4, 1 / 8, 1 / 16, 1 / 16];
    expect(huffmanLength(weights)).toBe(1.875);
    expect(entropyBits(weights)).toBe(1.875);
  });

  it("is one formula and one method for every number of equal suspects up to 300", () => {
    for (let count = 1; count <= 300; count += 1) {
      expect(huffmanLength(new Float64Array(count).fill(1))).toBeCloseTo(equalHuffmanLength(count), 10);
    }
  });
});
