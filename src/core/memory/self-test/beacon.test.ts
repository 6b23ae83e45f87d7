import { describe, expect, it } from "vitest";
import {
  beaconUnits,
  burstsOf,
  encodeMessage,
  readMessages,
  signalByte,
  signalsOf,
  type Verdict,
  verdictOf,
  verdictOfByte,
} from "./beacon.js";

const bits = [0, 1, 2, 3, 4, 5, 6, 7];
const lines = Array.from({ length: 16 }, (_, line) => line);
const banks = [0, 1, 2, 3];
const all: Verdict[] = [
  { kind: "good" },
  { kind: "main-good" },
  { kind: "rom" },
  { kind: "refresh" },
  ...banks.map((bank): Verdict => ({ kind: "no-answer", bank })),
  ...bits.map((bit): Verdict => ({ kind: "data-line", bit })),
  ...banks.flatMap((bank) => bits.map((bit): Verdict => ({ kind: "chip", bank, bit }))),
  ...banks.flatMap((bank) => lines.map((line): Verdict => ({ kind: "address-line", bank, line }))),
];

describe("the beacon's code", () => {
  it("spells data bit 3 short, long, long", () => {
    expect(signalsOf({ kind: "chip", bank: 0, bit: 3 })).toEqual(["short", "long", "long"]);
  });

  it("has one spelling and one byte for each verdict", () => {
    const spelled = all.map((verdict) => signalsOf(verdict).join());
    const bytes = all.map(signalByte);
    expect(new Set(spelled).size).toBe(all.length);
    expect(new Set(bytes).size).toBe(all.length);
    for (const verdict of all) {
      expect(verdictOf(signalsOf(verdict))).toEqual(verdict);
      expect(verdictOfByte(signalByte(verdict))).toEqual(verdict);
    }
  });

  it("knows no verdict for signals that stand for none", () => {
    expect(verdictOf([])).toBeUndefined();
    expect(verdictOf(["long"])).toBeUndefined();
    expect(verdictOf(signalsOf({ kind: "no-answer", bank: 3 }).map(() => "short"))).toBeUndefined();
    expect(verdictOfByte(0)).toBeUndefined();
  });

  it("refuses numbers that have no code", () => {
    expect(() => signalsOf({ kind: "chip", bank: 4, bit: 0 })).toThrow(RangeError);
    expect(() => signalsOf({ kind: "address-line", bank: 0, line: 16 })).toThrow(RangeError);
    expect(() => signalsOf({ kind: "data-line", bit: 8 })).toThrow(RangeError);
  });
});

describe("reading bursts", () => {
  const unit = 1000;
  const after = (bursts: readonly { from: number; to: number }[], shift: number) =>
    bursts.map(({ from, to }) => ({ from: from + shift, to: to + shift }));

  it("reads back every message, one after the other", () => {
    let at = 0;
    const bursts = all.flatMap((verdict) => {
      const own = after(encodeMessage(verdict, unit), at);
      at = (own.at(-1)?.to ?? at) + beaconUnits.pause * unit;
      return own;
    });
    const messages = readMessages(bursts, unit);
    expect(messages.map(({ verdict }) => verdict)).toEqual(all);
    expect(messages.every(({ agreeing, heard }) => agreeing === 3 && heard === 3)).toBe(true);
  });

  it("bears lengths that are a quarter off", () => {
    const verdict: Verdict = { kind: "chip", bank: 2, bit: 5 };
    const bursts = encodeMessage(verdict, unit);
    for (const scale of [0.75, 1.25]) expect(readMessages(bursts, unit * scale)[0]?.verdict).toEqual(verdict);
  });

  it("believes two copies of three", () => {
    const verdict: Verdict = { kind: "address-line", bank: 0, line: 9 };
    const bursts = encodeMessage(verdict, unit).map((burst, k) =>
      k === 2 ? { ...burst, to: burst.from + (burst.to - burst.from === unit ? 3 : 1) * unit } : burst,
    );
    expect(readMessages(bursts, unit)).toEqual([
      { verdict, signals: signalsOf(verdict), agreeing: 2, heard: 3 },
    ]);
  });

  it("leaves out what has no start mark, and the last one while more may come", () => {
    const bursts = encodeMessage({ kind: "good" }, unit);
    expect(readMessages(bursts.slice(1), unit)).toEqual([]);
    expect(readMessages(bursts.slice(0, 5), unit, { isRunning: true })).toEqual([]);
  });

  it("joins moments of activity to bursts", () => {
    expect(burstsOf([0, 20, 40, 900, 920, 5000], unit)).toEqual([
      { from: 0, to: 40 },
      { from: 900, to: 920 },
      { from: 5000, to: 5000 },
    ]);
  });
});
