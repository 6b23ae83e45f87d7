import { z } from "zod";
import { sourceReferenceSchema } from "../../../board/part-type.js";
import {
  bipolarTransistorSchema,
  diodeSchema,
  fieldEffectTransistorSchema,
  microcircuitSchema,
  optoelectronicSchema,
} from "./active-constants.js";
import { environment, factor, militaryQuality, rate, section } from "./constant-fields.js";
import {
  capacitorSchema,
  connectorSchema,
  inductiveSchema,
  platedHoleSchema,
  relaySchema,
  resistorSchema,
  socketSchema,
  switchSchema,
} from "./passive-constants.js";

export type { Environment } from "./constant-fields.js";

/** Constants of MIL-HDBK-217F Notice 2 as `data/failure/handbook-217f.json` holds them. */
export const handbook217fSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  issue: z.string().describe("Issue of the handbook; the issues differ by factors of up to twenty."),
  sources: z.array(sourceReferenceSchema).min(1),
  arrhenius: z.strictObject({
    section,
    boltzmannElectronvoltPerKelvin: factor,
    referenceKelvin: factor,
    zeroCelsiusKelvin: factor,
  }),
  microcircuit: microcircuitSchema,
  diode: diodeSchema,
  bipolarTransistor: bipolarTransistorSchema,
  fieldEffectTransistor: fieldEffectTransistorSchema,
  optoelectronic: optoelectronicSchema,
  resistor: resistorSchema,
  capacitor: capacitorSchema,
  inductive: inductiveSchema,
  relay: relaySchema,
  switch: switchSchema,
  connector: connectorSchema,
  socket: socketSchema,
  platedHole: platedHoleSchema,
  connection: z.strictObject({
    section,
    baseRate: z.record(
      z.enum(["hand-solder", "hand-solder-wrapped", "machine-solder", "crimp", "wrap"]),
      rate,
    ),
    environment,
  }),
  crystal: z.strictObject({
    section,
    scale: factor,
    exponent: factor,
    quality: militaryQuality,
    environment,
  }),
  fuse: z.strictObject({ section, baseRate: rate, environment }),
});

export type Handbook217f = z.infer<typeof handbook217fSchema>;
