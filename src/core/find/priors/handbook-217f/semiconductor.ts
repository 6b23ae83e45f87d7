import type { Environment, Handbook217f } from "./constants.js";
import { type HandbookRate, inRange, productRate, tableEntry, temperatureFactor } from "./rate.js";

type SemiconductorQuality = keyof Handbook217f["diode"]["quality"];
export type DiodeKind = keyof Handbook217f["diode"]["kinds"];

interface SemiconductorInput {
  readonly junctionCelsius: number;
  readonly quality: SemiconductorQuality;
  readonly environment: Environment;
}

/** Low-frequency diode, section 6.1. `voltageStress` is the reverse voltage over its rating, 0 to 1. */
export interface DiodeInput extends SemiconductorInput {
  readonly kind: DiodeKind;
  readonly voltageStress: number;
  readonly contact?: "bonded" | "spring";
}

/** λb·πT·πS·πC·πQ·πE, section 6.1. */
export function diodeRate(handbook: Handbook217f, input: DiodeInput): HandbookRate {
  const constants = handbook.diode;
  const kind = constants.kinds[input.kind];
  const stress = inRange(input.voltageStress, 0, 1, "voltage stress");
  const { lowLimit, lowFactor, exponent } = constants.stress;
  return productRate(constants.section, "λb·πT·πS·πC·πQ·πE", {
    λb: kind.baseRate,
    πT: temperatureFactor(handbook.arrhenius, kind.temperatureKelvin, input.junctionCelsius),
    πS: !kind.stressed ? 1 : stress <= lowLimit ? lowFactor : stress ** exponent,
    πC: constants.contact[input.contact ?? "bonded"],
    πQ: constants.quality[input.quality],
    πE: tableEntry(constants.environment, input.environment, "environment"),
  });
}

/** Bipolar transistor up to 200 MHz, section 6.3. `voltageStress` is V(CE) over its rating, 0 to 1. */
export interface BipolarTransistorInput extends SemiconductorInput {
  readonly application: "linear" | "switching";
  readonly ratedPowerWatt: number;
  readonly voltageStress: number;
}

/** λb·πT·πA·πR·πS·πQ·πE, section 6.3. */
export function bipolarTransistorRate(handbook: Handbook217f, input: BipolarTransistorInput): HandbookRate {
  const constants = handbook.bipolarTransistor;
  const power = inRange(input.ratedPowerWatt, Number.MIN_VALUE, Number.MAX_VALUE, "rated power");
  const stress = inRange(input.voltageStress, 0, 1, "voltage stress");
  return productRate(constants.section, "λb·πT·πA·πR·πS·πQ·πE", {
    λb: constants.baseRate,
    πT: temperatureFactor(handbook.arrhenius, constants.temperatureKelvin, input.junctionCelsius),
    πA: constants.application[input.application],
    πR: power <= constants.power.lowLimitWatt ? constants.power.lowFactor : power ** constants.power.exponent,
    πS: constants.stress.scale * Math.exp(constants.stress.slope * stress),
    πQ: constants.quality[input.quality],
    πE: tableEntry(constants.environment, input.environment, "environment"),
  });
}

/** Field-effect transistor up to 400 MHz, section 6.4. */
export interface FieldEffectTransistorInput extends SemiconductorInput {
  readonly kind: "mosfet" | "jfet";
  readonly application: "linear" | "switching";
}

/** λb·πT·πA·πQ·πE, section 6.4. */
export function fieldEffectTransistorRate(
  handbook: Handbook217f,
  input: FieldEffectTransistorInput,
): HandbookRate {
  const constants = handbook.fieldEffectTransistor;
  return productRate(constants.section, "λb·πT·πA·πQ·πE", {
    λb: constants.baseRate[input.kind],
    πT: temperatureFactor(handbook.arrhenius, constants.temperatureKelvin, input.junctionCelsius),
    πA: constants.application[input.application],
    πQ: constants.quality[input.quality],
    πE: tableEntry(constants.environment, input.environment, "environment"),
  });
}

/** Light-emitting diode, λb·πT·πQ·πE, section 6.11. */
export function ledRate(handbook: Handbook217f, input: SemiconductorInput): HandbookRate {
  const constants = handbook.optoelectronic;
  return productRate(constants.section, "λb·πT·πQ·πE", {
    λb: constants.baseRate.led,
    πT: temperatureFactor(handbook.arrhenius, constants.temperatureKelvin, input.junctionCelsius),
    πQ: constants.quality[input.quality],
    πE: tableEntry(constants.environment, input.environment, "environment"),
  });
}
