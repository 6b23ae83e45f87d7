import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { handbook217fSchema } from "./constants.js";
import { platedHoleRate, relayRate, socketRate } from "./contacts.js";
import {
  gatesFromTransistors,
  largestSize,
  learningFactor,
  type MicrocircuitInput,
  microcircuitRate,
} from "./microcircuit.js";
import { capacitorRate, resistorRate } from "./passive.js";
import { arrheniusFactor, bandValue } from "./rate.js";
import { diodeRate } from "./semiconductor.js";

const handbook = handbook217fSchema.parse(
  JSON.parse(
    readFileSync(new URL("../../../../../data/failure/handbook-217f.json", import.meta.url), "utf8"),
  ),
);

const gate: MicrocircuitInput = {
  circuit: "digital",
  process: "bipolar",
  size: 4,
  temperatureClass: "ls-ttl",
  junctionCelsius: 50,
  package: "plastic",
  pins: 14,
  environment: "GB",
  quality: "commercial",
  yearsInProduction: 2,
};

describe("handbook formulas", () => {
  it("are 1 at the reference temperature and grow with it", () => {
    expect(arrheniusFactor(handbook.arrhenius, 0.5, 25)).toBeCloseTo(1, 12);
    expect(arrheniusFactor(handbook.arrhenius, 0, 80)).toBe(1);
    expect(arrheniusFactor(handbook.arrhenius, 0.5, 60)).toBeGreaterThan(1);
    expect(() => arrheniusFactor(handbook.arrhenius, 0.5, -300)).toThrow(RangeError);
  });

  it("take a band's upper limit as part of the band", () => {
    expect(
      bandValue(
        [
          [10, 1],
          [20, 2],
        ],
        10,
      ),
    ).toBe(1);
    expect(
      bandValue(
        [
          [10, 1],
          [20, 2],
        ],
        10.5,
      ),
    ).toBe(2);
    expect(
      bandValue(
        [
          [10, 1],
          [20, 2],
        ],
        21,
      ),
    ).toBeUndefined();
  });

  it("list factors whose stated combination is the rate", () => {
    const { ratePerMillionHours, factors } = microcircuitRate(handbook, gate);
    const { C1 = 0, πT = 0, C2 = 0, πE = 0, πQ = 0, πL = 0 } = factors;
    expect((C1 * πT + C2 * πE) * πQ * πL).toBeCloseTo(ratePerMillionHours, 12);
    const socket = socketRate(handbook, { pins: 16, quality: "lower", environment: "GB" });
    expect(Object.values(socket.factors).reduce((a, b) => a * b, 1)).toBeCloseTo(
      socket.ratePerMillionHours,
      12,
    );
  });

  it("name the limit when a circuit is larger than its table", () => {
    expect(() => microcircuitRate(handbook, { ...gate, size: 100_000 })).toThrow(/60000 gates, got 100000/);
    expect(largestSize(handbook.microcircuit, "dynamic-ram", "mos")).toBe(1_048_576);
    expect(() =>
      microcircuitRate(handbook, { ...gate, circuit: "dynamic-ram", process: "bipolar", size: 1024 }),
    ).toThrow(/no bipolar dynamic-ram/);
  });

  it("reject inputs out of range", () => {
    expect(() => microcircuitRate(handbook, { ...gate, pins: 0 })).toThrow(RangeError);
    const capacitor = {
      style: "ceramic",
      microfarad: 0.1,
      voltageStress: 1.2,
      celsius: 40,
      seriesOhmPerVolt: 1,
      quality: "commercial",
      environment: "GB",
    } as const;
    expect(() => capacitorRate(handbook, capacitor)).toThrow(/voltage stress must lie between 0 and 1/);
    expect(() => capacitorRate(handbook, { ...capacitor, voltageStress: 0.5, quality: "best" })).toThrow(
      /quality must be one of S, R/,
    );
  });

  it("treat a young type as less reliable", () => {
    expect(learningFactor(handbook.microcircuit, 0)).toBe(2);
    expect(learningFactor(handbook.microcircuit, 1)).toBeCloseTo(1.484, 3);
    expect(learningFactor(handbook.microcircuit, 5)).toBe(1);
  });

  it("estimate gates from transistors", () => {
    expect(gatesFromTransistors(handbook.microcircuit, 12, "bipolar")).toBe(4);
    expect(gatesFromTransistors(handbook.microcircuit, 12, "mos")).toBe(3);
  });

  it("use the low-stress floor of diodes, and none for zeners", () => {
    const at = { junctionCelsius: 25, quality: "JANTX", environment: "GB" } as const;
    const low = diodeRate(handbook, { ...at, kind: "switching", voltageStress: 0.1 });
    expect(low.factors["πS"]).toBe(0.054);
    expect(diodeRate(handbook, { ...at, kind: "zener", voltageStress: 0.1 }).factors["πS"]).toBe(1);
  });

  it("count a hand-soldered hole far above a machine-soldered one", () => {
    const holes = { planes: 2, quality: "lower", environment: "GB" } as const;
    const machine = platedHoleRate(handbook, { ...holes, machineSolderedHoles: 1, handSolderedHoles: 0 });
    const hand = platedHoleRate(handbook, { ...holes, machineSolderedHoles: 0, handSolderedHoles: 1 });
    expect(hand.ratePerMillionHours / machine.ratePerMillionHours).toBeCloseTo(13.92, 1);
  });

  it("let rated power and relay cycling raise the rate", () => {
    const resistor = {
      style: "film",
      powerStress: 0.1,
      celsius: 40,
      quality: "M",
      environment: "GB",
    } as const;
    const small = resistorRate(handbook, { ...resistor, ratedPowerWatt: 0.25 });
    const large = resistorRate(handbook, { ...resistor, ratedPowerWatt: 2 });
    expect(large.ratePerMillionHours).toBeGreaterThan(small.ratePerMillionHours);
    const relay = {
      ratedCelsius: 85,
      celsius: 40,
      load: "inductive",
      loadStress: 0.1,
      contactForm: "DPDT",
      construction: "dry-reed",
      quality: "commercial",
      environment: "GB",
    } as const;
    const cycling = [1, 100, 2000].map(
      (operationsPerHour) => relayRate(handbook, { ...relay, operationsPerHour }).factors["πCYC"],
    );
    expect(cycling).toEqual([1, 10, 400]);
  });
});
