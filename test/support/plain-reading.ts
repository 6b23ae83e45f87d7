import type { Reading } from "../../src/web/tape/work/reading.js";

/** A reading for tests: one byte a second, blocks that end at `ends` and at the last byte. */
export function plainReading(
  text: string,
  ends: readonly number[],
  { doubtful = [] }: { readonly doubtful?: readonly number[] } = {},
): Reading {
  const bytes = Uint8Array.from(text, (letter) => letter.charCodeAt(0));
  const count = bytes.length;
  const bounds = [0, ...ends, count];
  return {
    schemeId: "test",
    schemeTitle: "Test",
    bytes,
    startSeconds: Float64Array.from(bytes, (_, i) => i),
    endSeconds: Float64Array.from(bytes, (_, i) => i + 1),
    doubtful: Uint8Array.from(bytes, (_, i) => Number(doubtful.includes(i))),
    confidence: Float32Array.from(bytes, (_, i) => (doubtful.includes(i) ? 0.5 : 1)),
    other: Int16Array.from(bytes, (byte, i) => (doubtful.includes(i) ? byte ^ 1 : -1)),
    otherChance: Float32Array.from(bytes, (_, i) => (doubtful.includes(i) ? 0.25 : 0)),
    source: new Uint8Array(count),
    speedRatio: new Float32Array(count).fill(1),
    pattern: [0, -1, -2, -3, -4, -5, -6, -7, -8, 1, 1],
    bitLengths: [1, 1],
    blocks: bounds.slice(1).map((to, i) => ({
      from: bounds[i] ?? 0,
      to,
      startSeconds: bounds[i] ?? 0,
      endSeconds: to,
      bodyFrom: bounds[i] ?? 0,
      bodyTo: to,
      check: "none",
      repair: undefined,
      fields: [],
    })),
    timeline: 0,
    speedErrorPercent: 0,
    secondsOfAudio: count,
    channels: ["mono"],
    peak: 0.5,
    clippedShare: 0,
    problems: [],
  };
}
