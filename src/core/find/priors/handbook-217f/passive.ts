import type { Environment, Handbook217f } from "./constants.js";
import { arrheniusFactor, bandValue, type HandbookRate, inRange, productRate, tableEntry } from "./rate.js";

export type ResistorStyle = keyof Handbook217f["resistor"]["styles"];
export type CapacitorStyle = keyof Handbook217f["capacitor"]["styles"];
export type InductiveKind = keyof Handbook217f["inductive"]["kinds"];

/** Resistor, section 9.1. `powerStress` is the dissipated over the rated power, 0 to 1. */
export interface ResistorInput {
  readonly style: ResistorStyle;
  readonly ratedPowerWatt: number;
  readonly powerStress: number;
  readonly celsius: number;
  /** Quality level of the handbook: S, R, P, M, non-ER or commercial. */
  readonly quality: string;
  readonly environment: Environment;
}

/** λb·πT·πP·πS·πQ·πE, section 9.1. */
export function resistorRate(handbook: Handbook217f, input: ResistorInput): HandbookRate {
  const constants = handbook.resistor;
  const style = constants.styles[input.style];
  const stress = constants.stress[style.stress];
  inRange(input.powerStress, 0, 1, "power stress");
  inRange(input.ratedPowerWatt, Number.MIN_VALUE, Number.MAX_VALUE, "rated power");
  return productRate(constants.section, "λb·πT·πP·πS·πQ·πE", {
    λb: style.baseRate,
    πT: arrheniusFactor(handbook.arrhenius, style.activationElectronvolt, input.celsius),
    πP: input.ratedPowerWatt ** constants.powerExponent,
    πS: stress.scale * Math.exp(stress.slope * input.powerStress),
    πQ: tableEntry(constants.quality, input.quality, "quality"),
    πE: tableEntry(constants.environment, input.environment, "environment"),
  });
}

/** Capacitor, section 10.1. `voltageStress` is the applied peak over the rated voltage, 0 to 1. */
export interface CapacitorInput {
  readonly style: CapacitorStyle;
  readonly microfarad: number;
  readonly voltageStress: number;
  readonly celsius: number;
  /** Resistance between supply and capacitor per applied volt; matters for solid tantalum only. */
  readonly seriesOhmPerVolt: number;
  /** Quality level of the handbook: S, R, P, M, L, non-ER or commercial. */
  readonly quality: string;
  readonly environment: Environment;
}

/** λb·πT·πC·πV·πSR·πQ·πE, section 10.1. */
export function capacitorRate(handbook: Handbook217f, input: CapacitorInput): HandbookRate {
  const constants = handbook.capacitor;
  const style = constants.styles[input.style];
  inRange(input.microfarad, Number.MIN_VALUE, Number.MAX_VALUE, "capacitance");
  inRange(input.voltageStress, 0, 1, "voltage stress");
  inRange(input.seriesOhmPerVolt, 0, Number.MAX_VALUE, "series resistance");
  const piSR = style.seriesResistance
    ? (bandValue(constants.seriesResistance, input.seriesOhmPerVolt) ?? constants.seriesResistanceAbove)
    : 1;
  return productRate(constants.section, "λb·πT·πC·πV·πSR·πQ·πE", {
    λb: style.baseRate,
    πT: arrheniusFactor(handbook.arrhenius, style.activationElectronvolt, input.celsius),
    πC: input.microfarad ** style.valueExponent,
    πV: (input.voltageStress / style.voltageLimit) ** style.voltageExponent + 1,
    πSR: piSR,
    πQ: tableEntry(constants.quality, input.quality, "quality"),
    πE: tableEntry(constants.environment, input.environment, "environment"),
  });
}

/** Peak voltage stress of a capacitor: direct voltage plus √2 times the alternating one, over the rating. */
export function capacitorVoltageStress(
  directVolt: number,
  alternatingVolt: number,
  ratedVolt: number,
): number {
  return (directVolt + Math.SQRT2 * alternatingVolt) / ratedVolt;
}

/** Transformer or coil, sections 11.1 and 11.2; `celsius` is the hot spot. λb·πT·πQ·πE. */
export function inductiveRate(
  handbook: Handbook217f,
  input: {
    readonly kind: InductiveKind;
    readonly celsius: number;
    readonly quality: "MIL" | "lower";
    readonly environment: Environment;
  },
): HandbookRate {
  const constants = handbook.inductive;
  const kind = constants.kinds[input.kind];
  return productRate(kind.section, "λb·πT·πQ·πE", {
    λb: kind.baseRate,
    πT: arrheniusFactor(handbook.arrhenius, constants.activationElectronvolt, input.celsius),
    πQ: constants.quality[input.quality],
    πE: tableEntry(constants.environment, input.environment, "environment"),
  });
}

/** Quartz crystal, section 19.1. 0.013·f^0.23·πQ·πE with f in megahertz. */
export function crystalRate(
  handbook: Handbook217f,
  input: {
    readonly megahertz: number;
    readonly quality: "MIL" | "lower";
    readonly environment: Environment;
  },
): HandbookRate {
  const constants = handbook.crystal;
  inRange(input.megahertz, Number.MIN_VALUE, Number.MAX_VALUE, "frequency");
  return productRate(constants.section, "0.013·f^0.23·πQ·πE", {
    λb: constants.scale * input.megahertz ** constants.exponent,
    πQ: constants.quality[input.quality],
    πE: tableEntry(constants.environment, input.environment, "environment"),
  });
}

/** Fuse, section 22.1: λb·πE. */
export function fuseRate(handbook: Handbook217f, environment: Environment): HandbookRate {
  return productRate(handbook.fuse.section, "λb·πE", {
    λb: handbook.fuse.baseRate,
    πE: tableEntry(handbook.fuse.environment, environment, "environment"),
  });
}
