import { z } from "zod";
import {
  bands,
  electronvolt,
  environment,
  factor,
  factorTable,
  rate,
  section,
  semiconductorQuality,
  slopeKelvin,
} from "./constant-fields.js";

/** See handbook217fSchema in constants.ts. */
export const microcircuitSchema = z.strictObject({
  section,
  dieRates: z
    .array(
      z.strictObject({
        circuit: z.enum([
          "digital",
          "linear",
          "logic-array",
          "microprocessor",
          "mask-rom",
          "programmable-rom",
          "dynamic-ram",
          "static-ram",
        ]),
        process: z.enum(["bipolar", "mos"]),
        counts: z.enum(["gates", "transistors", "word bits", "bits"]).describe("What the limits count."),
        section,
        bands,
      }),
    )
    .describe("C1, the rate of the die, by what it is and how large."),
  temperature: z.strictObject({
    section,
    scale: factor,
    activationElectronvolt: z.record(
      z.enum(["ttl", "s-ttl", "ls-ttl", "iil", "mos", "linear", "memory"]),
      electronvolt,
    ),
  }),
  packages: z
    .array(
      z.strictObject({
        package: z.enum(["hermetic-dip", "glass-dip", "flatpack", "can", "plastic"]),
        section,
        factor,
        exponent: factor,
      }),
    )
    .describe("C2 = factor × pins^exponent, the rate of the package."),
  environment,
  quality: factorTable(["S", "B", "B-1", "commercial"]),
  screening: z.strictObject({ section, constant: factor, perPoint: factor }),
  learning: z.strictObject({
    section,
    scale: factor,
    constant: factor,
    slopePerYear: factor,
    firstYears: factor,
    firstFactor: factor,
    matureYears: factor,
    matureFactor: factor,
  }),
  gatesFromTransistors: z.strictObject({ section, bipolar: factor, mos: factor }),
  junction: z.strictObject({
    section,
    caseCelsius: z.number().describe("Case temperature the handbook assumes in a quiet room."),
    defaultCelsius: z.number().describe("Junction temperature of the parts-count table, ground benign."),
    smallDieKelvinPerWatt: factor,
    largeDieKelvinPerWatt: factor,
  }),
  eepromCycling: z.strictObject({
    section,
    referenceBits: factor,
    exponent: factor,
    activationElectronvolt: electronvolt,
    boltzmannElectronvoltPerKelvin: factor,
    referenceKelvin: factor,
  }),
});

/** See handbook217fSchema in constants.ts. */
export const diodeSchema = z.strictObject({
  section,
  kinds: z.record(
    z.enum(["general", "switching", "fast-recovery", "power-rectifier", "suppressor", "zener"]),
    z.strictObject({
      baseRate: rate,
      temperatureKelvin: slopeKelvin,
      stressed: z.boolean().describe("The reverse voltage matters."),
    }),
  ),
  stress: z.strictObject({ lowLimit: factor, lowFactor: factor, exponent: factor }),
  contact: factorTable(["bonded", "spring"]),
  quality: semiconductorQuality,
  environment,
});

/** See handbook217fSchema in constants.ts. */
export const bipolarTransistorSchema = z.strictObject({
  section,
  baseRate: rate,
  temperatureKelvin: slopeKelvin,
  application: factorTable(["linear", "switching"]),
  power: z.strictObject({ lowLimitWatt: factor, lowFactor: factor, exponent: factor }),
  stress: z.strictObject({ scale: factor, slope: factor }),
  quality: semiconductorQuality,
  environment,
});

/** See handbook217fSchema in constants.ts. */
export const fieldEffectTransistorSchema = z.strictObject({
  section,
  baseRate: z.record(z.enum(["mosfet", "jfet"]), rate),
  temperatureKelvin: slopeKelvin,
  application: factorTable(["linear", "switching"]),
  quality: semiconductorQuality,
  environment,
});

/** See handbook217fSchema in constants.ts. */
export const optoelectronicSchema = z.strictObject({
  section,
  baseRate: z.strictObject({ led: rate }),
  temperatureKelvin: slopeKelvin,
  quality: semiconductorQuality,
  environment,
});
