import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { readRecording } from "../../src/app/tape-read.js";
import { createRandom } from "../../src/core/base/random.js";
import { bytesOf } from "../../src/core/signal/byte-stream.js";
import { audioOf } from "../../src/core/signal/samples.js";
import { wavFile } from "../../src/core/signal/wav-write.js";
import { doubtfulAbove, findBlocks } from "../../src/core/tape/blocks.js";
import { combineTapes } from "../../src/core/tape/combine.js";
import { encodeTape } from "../../src/core/tape/encode.js";
import { readTape } from "../../src/core/tape/read-tape.js";
import type { SoftTape } from "../../src/core/tape/soft-byte.js";
import { openStore } from "../../src/store/store.js";
import { matchBytes, type Wear, wornTones } from "../support/worn-tones.js";

const schemes = openStore().data.tapeSchemes();
const scheme = (id: string) => {
  const found = schemes.find((item) => item.id === id);
  if (found === undefined) throw new Error(`there is no scheme ${id}`);
  return found;
};
const random = createRandom(12);
const bytes = Uint8Array.from({ length: 300 }, () => random.below(256));
const sampleRateHz = 24000;

async function read(baud: number, wear: Wear, seed = 3): Promise<SoftTape> {
  const samples = wornTones(bytes, { baud, sampleRateHz, seed }, wear);
  return (await readTape(audioOf([samples], sampleRateHz), scheme(`kansas-city-${baud}`))).tape;
}
const values = (tape: SoftTape): number[] => Array.from({ length: tape.length }, (_, i) => tape.value(i));

describe("worn recordings of tones", () => {
  const wears: [string, Wear][] = [
    ["20 % slow", { speedRatio: 0.8 }],
    ["20 % fast", { speedRatio: 1.2 }],
    ["10 % fast with noise", { speedRatio: 1.1, noiseDecibel: 10 }],
    ["with flutter of 3 %", { flutter: [[0.03, 4]] }],
    ["with hum that clips", { humDecibel: 6 }],
    ["through a low-pass of 2 kHz", { lowPass: [2000, 4] }],
    ["with dropouts of 20 dB", { dropouts: [3, 0.1, 1] }],
    [
      "upside down, square, quiet and off centre",
      { isInverted: true, isSquare: true, gain: 0.01, offset: 0.3 },
    ],
  ];
  it.each(wears.flatMap(([name, wear]) => [300, 1200].map((baud) => [name, baud, wear] as const)))(
    "are read without an error %s at %i baud",
    async (_, baud, wear) => {
      expect(values(await read(baud, wear))).toEqual([...bytes]);
    },
  );

  it("mark the bytes that a full dropout took", async () => {
    const tape = await read(1200, { dropouts: [3, 0, 2] });
    const { places } = matchBytes(bytes, values(tape));
    const right = new Set(places);
    const wrong = Array.from({ length: tape.length }, (_, i) => i).filter((i) => !right.has(i));
    expect(wrong.length).toBeGreaterThan(0);
    expect(wrong.every((i) => tape.doubt(i) > doubtfulAbove)).toBe(true);
    expect(tape.length).toBe(bytes.length);
  });

  it("give every byte when three takes with different dropouts are put together", async () => {
    const wear = { dropouts: [3, 0, 2] } as const;
    const takes = [await read(1200, wear, 21), await read(1200, wear, 22), await read(1200, wear, 23)];
    const joined = combineTapes(takes);
    expect(values(joined)).toEqual([...bytes]);
    const sources = new Set(Array.from({ length: joined.length }, (_, i) => joined.source(i)));
    expect(sources.size).toBeGreaterThan(1);
  });

  it("keep their speed curve", async () => {
    const tape = await read(300, { driftRatio: 0.05 });
    const last = tape.length - 1;
    const expected = 1 + (0.05 * tape.startSeconds(last)) / 60;
    expect(tape.speedRatio(last)).toBeCloseTo(expected, 2);
  });
});

describe("repair by check value", () => {
  it("is offered for one doubtful bit, and not made unasked", async () => {
    const pulses = scheme("pulse-cycles");
    const samples = encodeTape(pulses, bytes.slice(0, 60), { sampleRateHz: 44100, leaderSeconds: 1 });
    const { tape } = await readTape(audioOf([samples], 44100), pulses);
    const { SoftTape: Tape } = await import("../../src/core/tape/soft-byte.js");
    const damaged = new Tape();
    for (let i = 0; i < tape.length; i += 1) {
      const byte = tape.at(i);
      const soft = Array.from(byte.soft);
      if (i === 20) soft[3] = (soft[3] ?? 0) > 0 ? -0.4 : 0.4;
      damaged.push({ ...byte, soft });
    }
    const [block] = findBlocks(damaged, pulses.block);
    expect(block).toMatchObject({
      check: "bad",
      repair: { byte: 20, from: damaged.value(20), to: tape.value(20) },
    });
  });
});

describe("files that are no sound recording of a tape", () => {
  it("never stop the reader, however they are damaged", async () => {
    const chance = createRandom(99);
    const small = wavFile(
      [encodeTape(scheme("kansas-city-1200"), bytes.slice(0, 4), { sampleRateHz: 8000, leaderSeconds: 0.1 })],
      8000,
    );
    const target = scheme("kansas-city-1200");
    let unread = 0;
    for (let run = 0; run < 300; run += 1) {
      const file = small.slice();
      for (let k = 1 + chance.below(6); k > 0; k -= 1) {
        file[chance.below(chance.below(2) === 0 ? 60 : file.length)] = chance.below(256);
      }
      const cutAt = chance.below(4) === 0 ? chance.below(file.length) : file.length;
      const { value, problems } = await readRecording(bytesOf("damaged.wav", file.slice(0, cutAt)), target);
      if (value === undefined) {
        unread += 1;
        expect(problems.some(({ severity, message }) => severity === "error" && message.length > 10)).toBe(
          true,
        );
      }
    }
    expect(unread).toBeGreaterThan(0);
  });
});

const hasModem = spawnSync("minimodem", ["--version"]).status === 0;

describe("an independent modem", () => {
  it.runIf(hasModem)(
    "(minimodem; skipped where it is not installed) and ours read each other's recordings",
    async () => {
      const folder = mkdtempSync(join(tmpdir(), "boardwake-modem-"));
      const settings = ["-8", "-M", "2400", "-S", "1200", "--startbits", "1", "--stopbits", "2"];
      for (const baud of ["300", "1200"]) {
        const target = scheme(`kansas-city-${baud}`);
        const ours = join(folder, "ours.wav");
        const samples = encodeTape(target, bytes, { sampleRateHz: 48000, leaderSeconds: 1 });
        writeFileSync(ours, wavFile([samples], 48000));
        const heard = spawnSync("minimodem", ["--rx", "-q", ...settings, "-f", ours, baud]).stdout;
        expect([...heard]).toEqual([...bytes]);
        const theirs = join(folder, "theirs.wav");
        spawnSync("minimodem", ["--tx", ...settings, "-R", "48000", "-f", theirs, baud], { input: bytes });
        const { value } = await readRecording(bytesOf(theirs, readFileSync(theirs)), target);
        expect(value === undefined ? [] : values(value.tape)).toEqual([...bytes]);
      }
      rmSync(folder, { recursive: true });
    },
  );
});
