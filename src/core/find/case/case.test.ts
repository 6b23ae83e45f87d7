import { describe, expect, it } from "vitest";
import { type CaseEntry, caseSchema, standingEntries } from "./case.js";

const note = (text: string): CaseEntry => ({ kind: "note", text });
const symptom = (what: string): CaseEntry => ({ kind: "symptom", what });
const strike = (entry: number): CaseEntry => ({ kind: "strike", entry });
const numbersOf = (...entries: CaseEntry[]): number[] => standingEntries(entries).map(({ number }) => number);

describe("standing entries", () => {
  it("keep their numbers and leave out notes, photos and strikes", () => {
    const photo: CaseEntry = { kind: "photo", file: "a.jpg" };
    expect(numbersOf(note("a"), symptom("dead"), photo, symptom("no-beep"))).toEqual([2, 4]);
  });

  it("leave out what a later entry strikes", () => {
    expect(numbersOf(symptom("dead"), symptom("no-beep"), strike(1))).toEqual([2]);
  });

  it("count an entry again whose strike was itself struck", () => {
    expect(numbersOf(symptom("dead"), strike(1), strike(2))).toEqual([1]);
    expect(numbersOf(symptom("dead"), strike(1), strike(2), strike(3))).toEqual([]);
  });

  it("are not touched by a strike of what comes later", () => {
    expect(numbersOf(strike(2), symptom("dead"), strike(9))).toEqual([2]);
  });
});

describe("the schema of a case", () => {
  const accepts = (entry: Record<string, unknown>): boolean =>
    caseSchema.safeParse({ entries: [entry] }).success;

  it("knows the multimeter as the instrument everybody starts with", () => {
    expect(caseSchema.parse({ entries: [] })).toEqual({ instruments: ["multimeter"], entries: [] });
  });

  it.each([
    ["volts", 1000, 1000.1],
    ["volts", -1000, -1000.1],
    ["rippleVolts", 0, -0.1],
    ["ohms", 1e12, 1.1e12],
    ["ohms", 0, -1],
    ["hertz", 1e9, 1.1e9],
    ["amperes", 100, 101],
    ["degreesCelsius", 300, 301],
    ["degreesCelsius", -60, -61],
    ["errorRate", 0.5, 0.51],
    ["minutesSincePowerOn", 100_000, 100_001],
  ])("bounds %s: %d is allowed, %d is not", (field, inside, outside) => {
    const reading = { kind: "reading", at: "U1.1", with: "multimeter" };
    expect(accepts({ ...reading, [field]: inside })).toBe(true);
    expect(accepts({ ...reading, [field]: outside })).toBe(false);
    expect(accepts({ ...reading, [field]: Number.NaN })).toBe(false);
  });

  it.each([
    ["an unknown kind", { kind: "guess" }],
    ["an unknown field", { kind: "note", text: "a", author: "b" }],
    ["an unknown instrument", { kind: "reading", at: "U1.1", with: "ear" }],
    ["an empty place", { kind: "reading", at: "", with: "eye" }],
    ["a name of 201 characters", { kind: "swap", part: "U".repeat(201), result: "fixed" }],
    ["an unknown result", { kind: "swap", part: "U1", result: "better" }],
    ["a strike of entry 0", { kind: "strike", entry: 0 }],
    ["a strike of half an entry", { kind: "strike", entry: 1.5 }],
  ])("rejects %s", (_, entry) => {
    expect(accepts(entry)).toBe(false);
  });

  it("bounds the log, the years and the prior factors", () => {
    const long = Array.from({ length: 5001 }, () => note("a"));
    expect(caseSchema.safeParse({ entries: long }).success).toBe(false);
    expect(caseSchema.safeParse({ entries: long.slice(1) }).success).toBe(true);
    for (const [field, value] of [
      ["year", 1969],
      ["year", 2020.5],
      ["priorFactors", { U1: 0 }],
      ["priorFactors", { U1: 1001 }],
      ["priorFactors", { "": 2 }],
      ["instruments", ["hammer"]],
    ] as const) {
      expect(caseSchema.safeParse({ entries: [], [field]: value }).success, field).toBe(false);
    }
  });
});
