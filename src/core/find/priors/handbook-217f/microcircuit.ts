import type { Environment, Handbook217f } from "./constants.js";
import { arrheniusFactor, bandValue, type HandbookRate, inRange, tableEntry } from "./rate.js";

type Constants = Handbook217f["microcircuit"];
export type MicrocircuitCircuit = Constants["dieRates"][number]["circuit"];
export type MicrocircuitProcess = Constants["dieRates"][number]["process"];
export type MicrocircuitPackage = Constants["packages"][number]["package"];
export type MicrocircuitTemperatureClass = keyof Constants["temperature"]["activationElectronvolt"];
export type MicrocircuitQuality = keyof Constants["quality"];

/** What sections 5.1 and 5.2 need to know of a microcircuit. */
export interface MicrocircuitInput {
  readonly circuit: MicrocircuitCircuit;
  readonly process: MicrocircuitProcess;
  /** Gates, transistors, bits of a word or bits of memory, as the table of the circuit counts. */
  readonly size: number;
  /** Which activation energy applies. */
  readonly temperatureClass: MicrocircuitTemperatureClass;
  readonly junctionCelsius: number;
  readonly package: MicrocircuitPackage;
  readonly pins: number;
  readonly environment: Environment;
  /** A level of the handbook, or the factor itself. */
  readonly quality: MicrocircuitQuality | number;
  /** Years the type had been made when this part was made; 2 or more counts as mature. */
  readonly yearsInProduction: number;
  /** Programming cycles of electrically erasable memory, failures per million hours; 0 for anything else. */
  readonly cyclingRatePerMillionHours?: number;
}

/**
 * (C1·πT + C2·πE + λcyc)·πQ·πL, sections 5.1 and 5.2.
 * Throws `RangeError` if the circuit is larger than its table or an input is out of range.
 */
export function microcircuitRate(handbook: Handbook217f, input: MicrocircuitInput): HandbookRate {
  const constants = handbook.microcircuit;
  const c1 = dieRate(constants, input);
  const piT =
    constants.temperature.scale *
    arrheniusFactor(
      handbook.arrhenius,
      constants.temperature.activationElectronvolt[input.temperatureClass],
      input.junctionCelsius,
    );
  const c2 = packageRate(constants, input.package, input.pins);
  const piE = tableEntry(constants.environment, input.environment, "environment");
  const cycling = inRange(input.cyclingRatePerMillionHours ?? 0, 0, Number.MAX_VALUE, "cycling rate");
  const piQ = typeof input.quality === "number" ? input.quality : constants.quality[input.quality];
  const piL = learningFactor(constants, input.yearsInProduction);
  return {
    ratePerMillionHours: (c1 * piT + c2 * piE + cycling) * piQ * piL,
    section: input.circuit.includes("rom") || input.circuit.includes("ram") ? "5.2" : "5.1",
    formula: cycling === 0 ? "(C1·πT + C2·πE)·πQ·πL" : "(C1·πT + C2·πE + λcyc)·πQ·πL",
    factors: {
      C1: c1,
      πT: piT,
      C2: c2,
      πE: piE,
      ...(cycling === 0 ? {} : { λcyc: cycling }),
      πQ: piQ,
      πL: piL,
    },
  };
}

function dieRate(constants: Constants, input: MicrocircuitInput): number {
  const entry = constants.dieRates.find(
    (row) => row.circuit === input.circuit && row.process === input.process,
  );
  if (entry === undefined) throw new RangeError(`the handbook has no ${input.process} ${input.circuit}`);
  inRange(input.size, Number.MIN_VALUE, Number.MAX_VALUE, `number of ${entry.counts}`);
  const value = bandValue(entry.bands, input.size);
  if (value === undefined) {
    const limit = largestSize(constants, input.circuit, input.process);
    throw new RangeError(
      `the table for ${input.process} ${input.circuit} ends at ${limit} ${entry.counts}, got ${input.size}`,
    );
  }
  return value;
}

/** Largest size the table of a circuit covers; undefined if the handbook has no such circuit. */
export function largestSize(
  constants: Constants,
  circuit: MicrocircuitCircuit,
  process: MicrocircuitProcess,
): number | undefined {
  return constants.dieRates
    .find((row) => row.circuit === circuit && row.process === process)
    ?.bands.at(-1)?.[0];
}

/** C2 of section 5.9, failures per million hours. */
export function packageRate(constants: Constants, name: MicrocircuitPackage, pins: number): number {
  const entry = constants.packages.find((row) => row.package === name);
  if (entry === undefined) throw new RangeError(`the handbook has no package ${name}`);
  return entry.factor * inRange(pins, 1, Number.MAX_VALUE, "number of pins") ** entry.exponent;
}

/** πL of section 5.10: above 1 for types that were new when the part was made. */
export function learningFactor(constants: Constants, yearsInProduction: number): number {
  const { learning } = constants;
  inRange(yearsInProduction, 0, Number.MAX_VALUE, "years in production");
  if (yearsInProduction <= learning.firstYears) return learning.firstFactor;
  if (yearsInProduction >= learning.matureYears) return learning.matureFactor;
  return learning.scale * Math.exp(learning.constant - learning.slopePerYear * yearsInProduction);
}

/** πQ of a custom screening programme worth `points`, section 5.10. */
export function screeningQuality(constants: Constants, points: number): number {
  inRange(points, Number.MIN_VALUE, Number.MAX_VALUE, "screening points");
  return constants.screening.constant + constants.screening.perPoint / points;
}

/** Number of gates estimated from the number of transistors, section 5.1. */
export function gatesFromTransistors(
  constants: Constants,
  transistors: number,
  process: MicrocircuitProcess,
): number {
  return transistors / constants.gatesFromTransistors[process];
}

/** Junction temperature from the case temperature and the power, section 5.11. */
export function junctionCelsius(caseCelsius: number, kelvinPerWatt: number, powerWatt: number): number {
  return caseCelsius + kelvinPerWatt * powerWatt;
}

/**
 * λcyc = A1·B1 of a floating-gate EEPROM without error correction, section 5.2.
 * `programmingFactor` is A1 of the handbook's table of lifetime cycles.
 */
export function eepromCyclingRate(
  handbook: Handbook217f,
  input: { readonly programmingFactor: number; readonly bits: number; readonly junctionCelsius: number },
): number {
  const constants = handbook.microcircuit.eepromCycling;
  const kelvin = input.junctionCelsius + handbook.arrhenius.zeroCelsiusKelvin;
  const slope = constants.activationElectronvolt / constants.boltzmannElectronvoltPerKelvin;
  const b1 =
    (input.bits / constants.referenceBits) ** constants.exponent *
    Math.exp(-slope * (1 / kelvin - 1 / constants.referenceKelvin));
  return input.programmingFactor * b1;
}
