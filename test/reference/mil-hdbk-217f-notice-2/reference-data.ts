import { readFileSync } from "node:fs";
import { z } from "zod";
import {
  type Handbook217f,
  handbook217fSchema,
} from "../../../src/core/find/priors/handbook-217f/constants.js";

const printed = z.string().regex(/^\d+(\.\d+)?$/);
const circuit = z.enum([
  "digital",
  "linear",
  "microprocessor",
  "mask-rom",
  "programmable-rom",
  "dynamic-ram",
  "static-ram",
]);
const process = z.enum(["bipolar", "mos"]);
const temperatureClass = z.enum(["ttl", "ls-ttl", "mos", "linear", "memory"]);
const environment = z.enum(["AIC", "AUC", "GF", "NS"]);
const factorRows = z.array(z.tuple([z.number(), z.array(printed)]));

const transistorSide = z.strictObject({
  junctionCelsius: z.number(),
  ratedPowerWatt: z.number(),
  voltageStress: z.number(),
  publishedπT: printed,
  publishedπR: printed,
  publishedπS: printed,
});

const dataSchema = z.strictObject({
  partsCount: z.strictObject({
    what: z.string(),
    rows: z.array(z.tuple([z.string(), circuit, process, z.number(), temperatureClass, z.number(), printed])),
  }),
  temperatureFactors: z.strictObject({
    what: z.string(),
    activationElectronvolt: z.array(z.number()),
    read: factorRows,
    computed: factorRows,
  }),
  workedExamples: z.strictObject({
    gateArray: z.strictObject({
      section: z.string(),
      gates: z.number(),
      caseCelsius: z.number(),
      kelvinPerWatt: z.number(),
      powerWatt: z.number(),
      pins: z.number(),
      screeningPoints: z.number(),
      environment,
      published: printed,
    }),
    eeprom: z.strictObject({
      section: z.string(),
      bits: z.number(),
      junctionCelsius: z.number(),
      pins: z.number(),
      quality: z.number(),
      environment,
      programmingFactor: z.number(),
      publishedB1: printed,
      publishedCycling: printed,
      published: printed,
    }),
    capacitor: z.strictObject({
      section: z.string(),
      microfarad: z.number(),
      directVolt: z.number(),
      alternatingVolt: z.number(),
      ratedVolt: z.number(),
      celsius: z.number(),
      environment,
      publishedStress: printed,
      publishedπT: printed,
      publishedπC: printed,
      publishedπV: printed,
      published: printed,
    }),
    dualTransistor: z.strictObject({
      section: z.string(),
      environment,
      sides: z.array(transistorSide),
      published: printed,
    }),
  }),
  otherPartsCount: z.strictObject({
    what: z.string(),
    socket40Pins: printed,
    crystal50Megahertz: printed,
    fuse: printed,
    diodeVoltageStress: z.number(),
    diodes: z.array(z.tuple([z.enum(["general", "switching", "power-rectifier", "zener"]), printed])),
    transistors: z.array(
      z.tuple([z.string(), z.enum(["switching", "linear"]), z.number(), z.number(), printed]),
    ),
  }),
  typicalParts: z.strictObject({
    what: z.string(),
    microcircuits: z.array(
      z.tuple([
        z.string(),
        circuit,
        process,
        z.number(),
        temperatureClass,
        z.enum(["plastic", "glass-dip"]),
        z.number(),
        z.number(),
        z.number(),
      ]),
    ),
    capacitors: z.array(
      z.tuple([
        z.string(),
        z.enum(["aluminium", "ceramic", "tantalum"]),
        z.number(),
        z.number(),
        z.number(),
        z.number(),
        z.number(),
        z.number(),
      ]),
    ),
    filmResistor: z.strictObject({
      ratedPowerWatt: z.number(),
      powerStress: z.number(),
      celsius: z.number(),
      computed: z.number(),
    }),
    transistor: z.strictObject({
      ratedPowerWatt: z.number(),
      voltageStress: z.number(),
      junctionCelsius: z.number(),
      computed: z.number(),
    }),
    rectifier: z.strictObject({
      voltageStress: z.number(),
      junctionCelsius: z.number(),
      computed: z.number(),
    }),
    sockets: z.array(z.tuple([z.number(), z.number()])),
    crystals: z.array(z.tuple([z.number(), z.number()])),
    cardEdge: z.strictObject({ celsius: z.number(), computed: z.number() }),
    pushbutton: z.strictObject({ loadStress: z.number(), computed: z.number() }),
    relay: z.strictObject({
      ratedCelsius: z.literal(125),
      celsius: z.number(),
      loadStress: z.number(),
      computed: z.number(),
    }),
  }),
});

export type ReferenceData = z.infer<typeof dataSchema>;

/** The transcribed values of this folder. */
export function readReferenceData(): ReferenceData {
  return dataSchema.parse(readJson(new URL("data.json", import.meta.url)));
}

/** The constants our code ships. */
export function readHandbook(): Handbook217f {
  return handbook217fSchema.parse(
    readJson(new URL("../../../data/failure/handbook-217f.json", import.meta.url)),
  );
}

function readJson(url: URL): unknown {
  return JSON.parse(readFileSync(url, "utf8"));
}
