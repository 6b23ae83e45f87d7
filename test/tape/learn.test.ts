import { describe, expect, it } from "vitest";
import { createRandom } from "../../src/core/base/random.js";
import { encodeTape } from "../../src/core/tape/encode.js";
import { learnTape } from "../../src/core/tape/learn.js";
import { openStore } from "../../src/store/store.js";

const random = createRandom(8);
const bytes = Uint8Array.from({ length: 80 }, () => random.below(256));

describe("an unknown recording", () => {
  it.each(
    openStore()
      .data.tapeSchemes()
      .map((scheme) => [scheme.id, scheme] as const),
  )("in %s is told by its signal and framing", async (_, scheme) => {
    const samples = encodeTape(scheme, bytes, { sampleRateHz: 44100, leaderSeconds: 1 });
    const learned = await learnTape(samples, 44100);
    expect(learned.verdict).toBe("data");
    expect(learned.scheme?.signal.kind).toBe(scheme.signal.kind);
    expect(learned.scheme?.frame).toEqual(scheme.frame);
    expect(learned.scheme?.block?.check?.value).toEqual(scheme.block?.check?.value);
  });

  it("of noise, of a tone, of gliding voices or of nothing is no data", async () => {
    const noise = Float32Array.from({ length: 44100 }, () => random.next() - 0.5);
    const tone = Float32Array.from(
      { length: 44100 },
      (_, i) => 0.5 * Math.sin((2 * Math.PI * 1000 * i) / 44100),
    );
    const voices = Float32Array.from({ length: 44100 }, (_, i) => {
      const time = i / 44100;
      const pitch = 140 + 40 * Math.sin(5 * time);
      return [1, 2.01, 3.2, 5.7].reduce(
        (sum, k) => sum + (0.2 / k) * Math.sin(2 * Math.PI * k * pitch * time),
        0,
      );
    });
    for (const samples of [noise, tone, voices, new Float32Array(44100)]) {
      expect((await learnTape(samples, 44100)).verdict).toBe("not-data");
    }
  });
});
