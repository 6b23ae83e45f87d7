import type { Section } from "../../board/board.js";
import type { FailureModeId } from "../../board/failure-mode.js";
import type { FailureFamily } from "../../board/part-type.js";
import type { EventFactor } from "./events.js";
import type { FailureData } from "./failure-data.js";
import type { FaultFamily } from "./fault-family.js";
import type { AppliedRate, RatedPart } from "./handbook-rate.js";
import { handbookRate } from "./handbook-rate.js";
import { type ManifestationShare, modeShares } from "./mode-shares.js";
import { ageFactor, type PriorParameterName, tradeFactor } from "./trade-factors.js";

/** The factors a rate is made of, in the order in which they are shown. */
export const factorNames = ["handbook", "trade", "age", "field", "event", "history"] as const;
export type FactorName = (typeof factorNames)[number];

/** Values a user puts in the place of computed ones. A part's own override wins over its family's. */
export interface PriorOverrides {
  /** By part reference; `handbook` is a rate per million hours, the others are factors. */
  readonly parts?: Readonly<Record<string, Readonly<Partial<Record<FactorName, number>>>>>;
  /** By family or structure. */
  readonly families?: Readonly<Partial<Record<FaultFamily, Readonly<Partial<Record<FactorName, number>>>>>>;
  readonly parameters?: Readonly<Partial<Record<PriorParameterName, number>>>;
}

/** A factor as it was used. */
export interface AppliedFactor {
  readonly value: number;
  readonly why: string;
  readonly overridden: boolean;
}

/** A part as the priors see it. */
export interface PriorPart extends RatedPart {
  readonly ref: string;
  readonly family: Exclude<FailureFamily, "none">;
  readonly section: Section;
  readonly ageYears: number;
}

/** What a part's or structure's rate is made of; `total` is the product of the values. */
export interface RateBreakdown {
  readonly handbook: {
    /** Failures per million hours. */
    readonly value: number;
    readonly formula: string;
    readonly section: string;
    readonly inputs: Readonly<Record<string, number | string>>;
    readonly factors: Readonly<Record<string, number>>;
    readonly assumptions: readonly string[];
    readonly overridden: boolean;
  };
  readonly tradeFactor: AppliedFactor;
  readonly ageFactor: AppliedFactor;
  readonly fieldFactor: AppliedFactor;
  readonly eventFactor: AppliedFactor;
  readonly historyFactor: AppliedFactor;
  /** Failures per million hours; only ratios between totals of one board mean anything. */
  readonly total: number;
}

/** Prior of a part: its rate with every factor, and what its modes need. */
export interface PartPrior extends RateBreakdown {
  readonly ref: string;
  readonly family: FaultFamily;
  /** Modes that the growth with age goes to. */
  readonly wearModes: ReadonlyArray<{ readonly mode: FailureModeId; readonly part: number }>;
  /** Further factors of events on single modes. */
  readonly eventModes: ReadonlyMap<FailureModeId, number>;
}

/** What a rate needs besides the part itself; absent factors are 1. */
export interface PriorContext {
  readonly fieldFactor?: { readonly value: number; readonly why: string };
  readonly eventFactor?: EventFactor;
  readonly historyFactor?: { readonly value: number; readonly why: string };
  readonly overrides?: PriorOverrides;
}

/** Prior of a part. Throws `RangeError` if an override is negative or not finite. */
export function partPrior(data: FailureData, part: PriorPart, context: PriorContext = {}): PartPrior {
  const rate = handbookRate(data["handbook-217f"], data["family-models"], part);
  return ratePrior(data, part.ref, part.family, rate, part.ageYears, context);
}

/** Prior of anything whose handbook rate is known. */
export function ratePrior(
  data: FailureData,
  ref: string,
  family: FaultFamily,
  rate: AppliedRate,
  ageYears: number,
  context: PriorContext,
): PartPrior {
  const { overrides, eventFactor } = context;
  const apply = (
    name: FactorName,
    computed: { readonly value: number; readonly why: string },
  ): AppliedFactor => {
    const own = overrides?.parts?.[ref]?.[name];
    const value = own ?? overrides?.families?.[family]?.[name];
    if (value === undefined) return { value: computed.value, why: computed.why, overridden: false };
    if (!(value >= 0 && Number.isFinite(value))) {
      throw new RangeError(
        `the ${name} value set for ${own === undefined ? family : ref} must be 0 or more, got ${value}`,
      );
    }
    return { value, why: `Set by you${own === undefined ? ` for ${family}` : ""}.`, overridden: true };
  };
  const age = ageFactor(data["trade-factors"], family, ageYears);
  const handbook = apply("handbook", { value: rate.ratePerMillionHours, why: "" });
  const factors = {
    tradeFactor: apply("trade", tradeFactor(data["trade-factors"], family)),
    ageFactor: apply("age", age),
    fieldFactor: apply("field", context.fieldFactor ?? { value: 1, why: "No histories were asked." }),
    eventFactor: apply("event", eventFactor ?? { value: 1, why: "No event concerns it." }),
    historyFactor: apply("history", context.historyFactor ?? { value: 1, why: "No closed jobs." }),
  };
  return {
    ref,
    family,
    handbook: {
      value: handbook.value,
      formula: rate.formula,
      section: rate.section,
      inputs: rate.inputs,
      factors: rate.factors,
      assumptions: rate.assumptions,
      overridden: handbook.overridden,
    },
    ...factors,
    total: Object.values(factors).reduce((product, factor) => product * factor.value, handbook.value),
    wearModes: age.modes,
    eventModes: eventFactor?.modes ?? new Map(),
  };
}

/** Rate of one failure mode of one part. */
export interface ModeOdds {
  readonly mode: FailureModeId;
  /** Failures per million hours, before scaling to the expected number of faults. */
  readonly ratePerMillionHours: number;
  /** Share of the part's own rate. */
  readonly share: number;
  readonly manifestations: readonly ManifestationShare[];
}

/**
 * Splits a part's total over its modes, largest first. The constant part of the rate follows the family's shares, the
 * growth with age goes to the modes that wear; events then multiply single modes, so that the rates of a part to
 * which that happened sum to more than its total.
 */
export function modeOdds(data: FailureData, prior: PartPrior): ModeOdds[] {
  const shares = modeShares(data["mode-shares"], prior.family);
  const age = prior.ageFactor.value;
  const worn = age > 1 && prior.wearModes.length > 0 ? (age - 1) / age : 0;
  const rows = shares.map(({ mode, share, manifestations }) => {
    const wear = prior.wearModes.find((row) => row.mode === mode)?.part ?? 0;
    const ownShare = (1 - worn) * share + worn * wear;
    const eventFactor = prior.eventModes.get(mode) ?? 1;
    return { mode, manifestations, ratePerMillionHours: prior.total * ownShare * eventFactor };
  });
  const sum = rows.reduce((total, row) => total + row.ratePerMillionHours, 0);
  return rows
    .map((row) => ({ ...row, share: sum > 0 ? row.ratePerMillionHours / sum : 0 }))
    .sort((a, b) => b.ratePerMillionHours - a.ratePerMillionHours || (a.mode < b.mode ? -1 : 1));
}
