import { z } from "zod";
import { sourceReferenceSchema } from "../../board/part-type.js";
import { faultFamilySchema } from "./fault-family.js";
import { environments } from "./handbook-217f/constant-fields.js";

const positive = z.number().positive();
const stress = z.number().min(0).max(1).describe("Applied over rated value.");
const celsius = z.number().min(-50).max(200);

const modelSchema = z.discriminatedUnion("kind", [
  z.strictObject({
    kind: z.literal("microcircuit"),
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
    counts: z
      .enum(["gates", "bits", "transistors", "wordBits"])
      .describe("Which complexity of the type counts."),
    size: positive.describe("Size assumed where the type states none."),
    package: z.enum(["plastic", "glass-dip"]),
    pins: positive.describe("Pins assumed where the type states none."),
    junctionCelsius: celsius.describe("Junction temperature assumed where the supply current is not known."),
    temperatureClass: z.enum(["by-technology", "memory", "linear"]),
  }),
  z.strictObject({
    kind: z.literal("diode"),
    style: z.enum(["general", "switching", "power-rectifier", "zener"]),
    voltageStress: stress,
    junctionCelsius: celsius,
  }),
  z.strictObject({
    kind: z.literal("transistor"),
    application: z.enum(["linear", "switching"]),
    ratedPowerWatt: positive,
    voltageStress: stress,
    junctionCelsius: celsius,
  }),
  z.strictObject({ kind: z.literal("led"), junctionCelsius: celsius }),
  z.strictObject({
    kind: z.literal("resistor"),
    style: z.enum(["film", "network", "variable-film", "composition", "wirewound"]),
    ratedPowerWatt: positive,
    powerStress: stress,
  }),
  z.strictObject({
    kind: z.literal("capacitor"),
    style: z.enum(["aluminium", "ceramic", "film", "tantalum"]),
    microfarad: positive.describe("Capacitance assumed where the printed value cannot be read."),
    voltageStress: stress,
    seriesOhmPerVolt: z.number().nonnegative(),
  }),
  z.strictObject({ kind: z.literal("inductive"), style: z.enum(["coil-fixed", "transformer-power"]) }),
  z.strictObject({ kind: z.literal("crystal"), megahertz: positive }),
  z.strictObject({ kind: z.literal("fuse") }),
  z.strictObject({
    kind: z.literal("switch"),
    style: z.enum(["pushbutton", "rocker", "toggle", "dip"]),
    loadStress: stress,
  }),
  z.strictObject({
    kind: z.literal("relay"),
    construction: z.enum(["general-armature", "signal-armature", "dry-reed"]),
    contactForm: z.enum(["SPST", "DPST", "SPDT", "DPDT"]),
    ratedCelsius: z.union([z.literal(85), z.literal(125)]),
    loadStress: stress,
    operationsPerHour: z.number().nonnegative(),
  }),
  z.strictObject({
    kind: z.literal("connector"),
    style: z.enum(["rectangular", "card-edge", "power", "circular"]),
    matingsPerThousandHours: z.number().nonnegative(),
  }),
  z
    .strictObject({
      kind: z.literal("assembly"),
      parts: z.array(z.strictObject({ family: faultFamilySchema, count: positive })).min(1),
    })
    .describe("Sum of typical parts; an assembly may not hold another assembly."),
  z
    .strictObject({ kind: z.literal("fixed"), ratePerMillionHours: positive, why: z.string().min(1) })
    .describe("No handbook entry: an estimate of the trade."),
]);

/** How the handbook is applied to each failure family, as `data/failure/family-models.json` holds it. */
export const familyModelsSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  sources: z.array(sourceReferenceSchema).min(1),
  environment: z.enum(environments).describe("Environment of the handbook that a home comes nearest to."),
  yearsInProduction: z.number().nonnegative().describe("Age of a type when the part was made; 2 is mature."),
  ambientCelsius: celsius.describe("Temperature inside the case at passive parts; an estimate of the trade."),
  caseAirCelsius: celsius.describe(
    "Temperature of the air chips lose their heat to; an estimate of the trade.",
  ),
  stillAirKelvinPerWatt: z
    .array(z.tuple([positive, positive]))
    .min(1)
    .describe("Junction to still air by number of pins; an estimate of the trade."),
  families: z.array(z.strictObject({ family: faultFamilySchema, model: modelSchema })).min(1),
});

export type FamilyModels = z.infer<typeof familyModelsSchema>;
export type FamilyModel = z.infer<typeof modelSchema>;
