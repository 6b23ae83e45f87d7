import { z } from "zod";
import {
  bands,
  electronvolt,
  environment,
  establishedQuality,
  factor,
  factorTable,
  loadDivisor,
  militaryQuality,
  rate,
  section,
} from "./constant-fields.js";

const exponential = z.strictObject({ scale: factor, slope: z.number().nonnegative() });

/** See handbook217fSchema in constants.ts. */
export const resistorSchema = z.strictObject({
  section,
  styles: z.record(
    z.enum([
      "composition",
      "film",
      "network",
      "wirewound",
      "variable-film",
      "variable-wirewound",
      "thermistor",
    ]),
    z.strictObject({
      baseRate: rate,
      activationElectronvolt: electronvolt,
      stress: z.enum(["mild", "steep", "none"]),
    }),
  ),
  powerExponent: factor,
  stress: z.strictObject({ mild: exponential, steep: exponential, none: exponential }),
  quality: establishedQuality,
  environment,
});

/** See handbook217fSchema in constants.ts. */
export const capacitorSchema = z.strictObject({
  section,
  styles: z.record(
    z.enum([
      "paper",
      "film",
      "mica",
      "ceramic",
      "ceramic-chip",
      "tantalum",
      "tantalum-chip",
      "aluminium",
      "trimmer",
    ]),
    z.strictObject({
      baseRate: rate,
      activationElectronvolt: electronvolt,
      valueExponent: factor.describe("Exponent of the capacitance in microfarad."),
      voltageLimit: factor,
      voltageExponent: factor,
      seriesResistance: z.boolean().describe("The resistance in the charging path matters."),
    }),
  ),
  seriesResistance: bands.describe("Factor by ohm per applied volt."),
  seriesResistanceAbove: factor,
  quality: establishedQuality,
  environment,
});

/** See handbook217fSchema in constants.ts. */
export const inductiveSchema = z.strictObject({
  section,
  kinds: z.record(
    z.enum([
      "transformer-audio",
      "transformer-low-power-pulse",
      "transformer-power",
      "transformer-radio-frequency",
      "coil-fixed",
      "coil-variable",
    ]),
    z.strictObject({ baseRate: rate, section }),
  ),
  activationElectronvolt: electronvolt,
  quality: militaryQuality,
  environment,
});

/** See handbook217fSchema in constants.ts. */
export const relaySchema = z.strictObject({
  section,
  baseRate: rate,
  activationElectronvolt: z.record(z.enum(["85", "125"]), electronvolt).describe("By rated temperature, °C."),
  contactForm: factorTable(["SPST", "DPST", "SPDT", "DPDT"]),
  construction: factorTable(["general-armature", "signal-armature", "dry-reed"]),
  load: loadDivisor,
  cycling: z.strictObject({ freePerHour: factor, steepPerHour: factor, steepDivisor: factor }),
  quality: establishedQuality,
  environment,
});

/** See handbook217fSchema in constants.ts. */
export const switchSchema = z.strictObject({
  section,
  baseRate: z.record(
    z.enum(["dip", "pushbutton", "reed", "rocker", "rotary", "sensitive", "thumbwheel", "toggle"]),
    rate,
  ),
  contactsCount: z.array(z.string()).describe("Kinds whose rate grows with the number of contacts."),
  contactExponent: factor,
  load: loadDivisor,
  quality: militaryQuality,
  environment,
});

/** See handbook217fSchema in constants.ts. */
export const connectorSchema = z.strictObject({
  section,
  baseRate: z.record(
    z.enum(["card-edge", "circular", "power", "rack-panel", "radio-frequency", "rectangular", "telephone"]),
    rate,
  ),
  activationElectronvolt: electronvolt,
  matings: bands.describe("Factor by matings per 1000 hours."),
  matingsAbove: factor,
  quality: militaryQuality,
  environment,
});

/** See handbook217fSchema in constants.ts. */
export const socketSchema = z.strictObject({
  section,
  baseRate: rate,
  pinDivisor: factor,
  pinExponent: factor,
  quality: militaryQuality,
  environment,
});

/** See handbook217fSchema in constants.ts. */
export const platedHoleSchema = z.strictObject({
  section,
  baseRate: rate,
  planeScale: factor,
  planeExponent: factor,
  handSolderedExtra: factor,
  quality: militaryQuality,
  environment,
});
