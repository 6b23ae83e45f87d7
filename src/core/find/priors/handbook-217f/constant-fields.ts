import { z } from "zod";

/** Environments of the handbook, from a quiet room (`GB`, ground benign) to a gun shot (`CL`). */
export const environments = [
  "GB",
  "GF",
  "GM",
  "NS",
  "NU",
  "AIC",
  "AIF",
  "AUC",
  "AUF",
  "ARW",
  "SF",
  "MF",
  "ML",
  "CL",
] as const;
export type Environment = (typeof environments)[number];

/** A rate, failures per million hours. */
export const rate = z.number().positive().describe("Failures per million hours.");
/** A positive factor without unit. */
export const factor = z.number().positive();
/** Section or table of the handbook. */
export const section = z.string().min(1).describe("Section or table of the handbook.");
/** An activation energy. */
export const electronvolt = z.number().nonnegative().describe("Activation energy in electronvolt.");
/** B of exp(-B(1/T - 1/298)). */
export const slopeKelvin = z.number().positive().describe("B of exp(-B(1/T - 1/298)), in kelvin.");
/** Environment factors by environment. */
export const environment = z
  .partialRecord(z.enum(environments), factor)
  .describe("Environment factor by environment; one the handbook does not rate is absent.");
/** Values by upper limit. */
export const bands = z
  .array(z.tuple([z.number().positive(), factor]))
  .min(1)
  .describe("Pairs of upper limit and value, ascending.");

/** One factor for each of the given keys. */
export const factorTable = <K extends string>(keys: readonly [K, ...K[]]) => z.record(z.enum(keys), factor);
/** Quality factors of section 6. */
export const semiconductorQuality = factorTable(["JANTXV", "JANTX", "JAN", "lower", "plastic"]).describe(
  "Quality factor.",
);
/** Quality factors of parts with established reliability, by level. */
export const establishedQuality = z.record(z.string(), factor).describe("Quality factor by level.");
/** Quality factors of parts that are either military or not. */
export const militaryQuality = factorTable(["MIL", "lower"]).describe("Quality factor.");
/** d of exp((S/d)^2) by kind of load. */
export const loadDivisor = factorTable(["resistive", "inductive", "lamp"]).describe("d of exp((S/d)^2).");
