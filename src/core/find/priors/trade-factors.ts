import { z } from "zod";
import { type FailureModeId, failureModeIdSchema } from "../../board/failure-mode.js";
import { sourceReferenceSchema } from "../../board/part-type.js";
import { type FaultFamily, faultFamilySchema, structures } from "./fault-family.js";

const why = z.string().min(1).describe("Reason, in one sentence; common practice, no source.");

/** Numbers that steer the priors; each may be overridden by name. */
export const priorParameterNames = [
  "fieldPseudoCount",
  "familyPseudoCount",
  "historyStrength",
  "assumedAgeYears",
] as const;
export type PriorParameterName = (typeof priorParameterNames)[number];

/** Factors of the trade, as `data/failure/trade-factors.json` holds them; all common practice, no source. */
export const tradeFactorsSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  sources: z.array(sourceReferenceSchema).min(1),
  families: z
    .array(z.strictObject({ family: faultFamilySchema, factor: z.number().positive(), why }))
    .describe("Factor on the handbook's rate; families not listed have 1."),
  ageing: z
    .array(
      z.strictObject({
        family: faultFamilySchema,
        onsetYears: z.number().nonnegative().describe("Age at which wear begins to show."),
        growthPerYear: z
          .number()
          .positive()
          .describe("Share of the constant rate that each further year adds."),
        maximum: z.number().min(1).describe("Largest factor."),
        modes: z
          .array(z.strictObject({ mode: failureModeIdSchema, part: z.number().positive().max(1) }))
          .min(1)
          .describe("Modes that the added rate goes to."),
        why,
      }),
    )
    .describe("Wear-out, which the handbook's constant rates do not know."),
  structures: z
    .array(
      z.strictObject({
        structure: z.enum(structures),
        ratePerMillionHours: z.number().positive(),
        each: z.string().min(1).describe("What the rate is for."),
        why,
      }),
    )
    .min(1),
  parameters: z
    .array(
      z.strictObject({
        name: z.enum(priorParameterNames),
        value: z.number().positive(),
        title: z.string().min(1),
        why,
      }),
    )
    .min(1),
});

export type TradeFactors = z.infer<typeof tradeFactorsSchema>;

/** A factor with the reason for it. `value` is 1 where nothing is known. */
export interface ReasonedFactor {
  readonly value: number;
  readonly why: string;
}

/** The trade's factor on a family's handbook rate. */
export function tradeFactor(data: TradeFactors, family: FaultFamily): ReasonedFactor {
  const entry = data.families.find((row) => row.family === family);
  return entry === undefined
    ? { value: 1, why: "No factor of the trade." }
    : { value: entry.factor, why: `${entry.why} (Common practice, no source.)` };
}

/** Growth of the rate with age, and the modes that the growth goes to. */
export interface AgeFactor extends ReasonedFactor {
  /** Modes of the part above 1, with parts that sum to 1; empty if the factor is 1. */
  readonly modes: ReadonlyArray<{ readonly mode: FailureModeId; readonly part: number }>;
}

/** min(maximum, 1 + growth·(age - onset)) for families that wear out, else 1. */
export function ageFactor(data: TradeFactors, family: FaultFamily, ageYears: number): AgeFactor {
  const entry = data.ageing.find((row) => row.family === family);
  if (entry === undefined || ageYears <= entry.onsetYears) {
    return { value: 1, why: entry === undefined ? "No known wear." : "Too young to wear.", modes: [] };
  }
  const grown = 1 + entry.growthPerYear * (ageYears - entry.onsetYears);
  return {
    value: Math.min(entry.maximum, grown),
    why: `${entry.why} At ${ageYears} years. (Common practice, no source.)`,
    modes: entry.modes,
  };
}

/** Rate of one unit of a structure before the handbook's part of it; 0 if the trade states none. */
export function structureRate(data: TradeFactors, structure: (typeof structures)[number]): number {
  return data.structures.find((row) => row.structure === structure)?.ratePerMillionHours ?? 0;
}

/** Value of a parameter, after overrides. Throws `RangeError` if the data lacks it or an override is not positive. */
export function priorParameter(
  data: TradeFactors,
  name: PriorParameterName,
  overrides?: Readonly<Partial<Record<PriorParameterName, number>>>,
): number {
  const value = overrides?.[name] ?? data.parameters.find((row) => row.name === name)?.value;
  if (value === undefined || !(value > 0 && Number.isFinite(value))) {
    throw new RangeError(`parameter ${name} must be a positive number, got ${value}`);
  }
  return value;
}
