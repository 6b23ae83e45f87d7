import { describe, expect, it } from "vitest";
import { z } from "zod";
import { plainReading } from "../../../../test/support/plain-reading.js";
import { tapeReadOutputSchema } from "../../../app/output/tape-output.js";
import { manifestText } from "./manifest.js";
import { bitAt, bitBounds, blockOf, byteAt, contentsOf, doubtsOf, withRepair } from "./reading.js";

const plain = plainReading("HELLO, TAPE!", [5], { doubtful: [1, 9] });

/** The same with a header byte before and a check byte after each body, and a repair offered for the second block. */
const framed = {
  ...plain,
  blocks: plain.blocks.map((block, number) => ({
    ...block,
    bodyFrom: block.from + 1,
    bodyTo: block.to - 1,
    check: number === 1 ? ("wrong" as const) : ("right" as const),
    repair: number === 1 ? { byte: 9, value: 0x42, bitConfidence: 0.6, rivals: 0 } : undefined,
  })),
};

describe("a reading", () => {
  it("knows which byte is on tape at a moment", () => {
    expect([-1, 0, 3.5, 11, 99].map((seconds) => byteAt(plain, seconds))).toEqual([-1, 0, 3, 11, 11]);
    expect(blockOf(plain, 5)?.number).toBe(1);
    expect(doubtsOf(plain)).toEqual([1, 9]);
  });

  it("writes the bits of a character in the order of the tape", () => {
    const bits = plain.pattern.map((_, k) => bitAt(plain, 0, k)).join("");
    expect(bits).toBe("00001001011");
    expect(bitAt({ ...plain, pattern: [-10] }, 0, 0)).toBe(0);
    expect(bitAt({ ...plain, pattern: [-11] }, 0, 0)).toBe(1);
  });

  it("lays bits along the byte by their lengths", () => {
    const byte = {
      ...plain,
      bytes: Uint8Array.of(0b0000_0001),
      pattern: [-1, -2, -3, -4],
      bitLengths: [1, 3],
    } as const;
    expect(bitBounds(byte, 0)).toEqual([0, 3 / 6, 4 / 6, 5 / 6, 1].map((share) => expect.closeTo(share, 9)));
  });

  it("leaves headers and check values out of the contents", () => {
    expect(Buffer.from(contentsOf(framed)).toString()).toBe("ELL TAPE");
  });

  it("takes a repair only when told to, and keeps it marked", () => {
    const repaired = withRepair(framed, 1);
    expect(Buffer.from(contentsOf(repaired)).toString()).toBe("ELL TABE");
    expect(repaired.blocks.map(({ check }) => check)).toEqual(["right", "repaired"]);
    expect(doubtsOf(repaired)).toContain(9);
    expect(repaired.other[9]).toBe("P".charCodeAt(0));
    expect(framed.bytes[9]).toBe("P".charCodeAt(0));
    expect(withRepair(framed, 0)).toBe(framed);
  });

  it("is described with offsets that count in the file of its contents", () => {
    const manifest: unknown = JSON.parse(manifestText(framed, ["side A.wav"]));
    const { format, formatVersion, startSeconds, confidence, ...rest } = z
      .looseObject({
        format: z.string(),
        formatVersion: z.number(),
        startSeconds: z.array(z.number()),
        confidence: z.array(z.number()),
      })
      .parse(manifest);
    expect([format, formatVersion]).toEqual(["boardwake tape manifest", 1]);
    expect(startSeconds).toEqual([1, 2, 3, 6, 7, 8, 9, 10]);
    expect(confidence).toEqual([0.5, 1, 1, 1, 1, 1, 0.5, 1]);
    // What the command line prints, but for the time it took.
    expect(tapeReadOutputSchema.parse({ ...rest, seconds: 0 })).toMatchObject({
      recordings: ["side A.wav"],
      bytes: 8,
      blocks: [
        { number: 1, offset: 0, length: 3, check: "good", doubtful: [0] },
        { number: 2, offset: 3, length: 5, check: "bad", repair: { offset: 6, from: 80, to: 66 } },
      ],
      doubtful: [0, 6],
    });
  });
});
