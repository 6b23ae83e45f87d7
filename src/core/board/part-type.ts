import { z } from "zod";
import { expressionSchema } from "./expression.js";

/** What a pin does electrically; the names are those of common schematic tools. */
export const pinKinds = ["power", "ground", "in", "out", "tri", "oc", "bidir", "passive", "nc"] as const;

/** How a part is built, which decides thresholds, drive and failure rates. */
export const technologies = [
  "ttl",
  "s-ttl",
  "ls-ttl",
  "cmos",
  "nmos",
  "linear",
  "discrete",
  "passive",
  "mechanical",
] as const;

/** Groups of parts that fail alike; failure modes, shares and rates are given per family. */
export const failureFamilies = [
  "logic-bipolar",
  "logic-mos",
  "dram",
  "sram",
  "rom",
  "eprom",
  "microprocessor",
  "peripheral",
  "video-controller",
  "programmable-logic",
  "linear",
  "line-driver",
  "timer",
  "regulator",
  "diode",
  "rectifier",
  "zener",
  "led",
  "transistor",
  "resistor",
  "resistor-network",
  "resistor-variable",
  "capacitor-ceramic",
  "capacitor-film",
  "capacitor-aluminium",
  "capacitor-tantalum",
  "crystal",
  "oscillator-module",
  "transformer",
  "coil",
  "relay",
  "fuse",
  "switch",
  "keyboard",
  "connector",
  "jumper",
  "loudspeaker",
  "outside-supply",
  "none",
] as const;

export const sourceReferenceSchema = z.strictObject({
  id: z.string().min(1).describe("Id of a source listed in data/sources.json."),
  confidence: z
    .enum(["seen", "memory"])
    .describe("`seen`: checked against the source; `memory`: from memory of it."),
});

const pinSchema = z.strictObject({
  number: z.string().min(1).describe("Pin number as printed in the data sheet."),
  name: z.string().min(1).describe("Pin name; a leading / means active low."),
  kind: z.enum(pinKinds),
});

const railSchema = z.strictObject({
  pin: z.string().min(1).describe("Name of the supply pin."),
  nominalVolt: z.number(),
  minimumVolt: z.number(),
  maximumVolt: z.number(),
});

const pinName = z.string().min(1);
const pinExpressions = z.record(pinName, expressionSchema);

const registerSchema = z.strictObject({
  kind: z.enum(["edge", "transparent", "counter", "shift"]),
  clock: pinName.describe("Clock pin; for `transparent` the enable pin."),
  clear: expressionSchema.optional().describe("While true the outputs are low."),
  preset: expressionSchema.optional().describe("While true the outputs are high."),
  load: expressionSchema
    .optional()
    .describe("While true a counter or shift register takes its data instead of moving on."),
  run: expressionSchema.optional().describe("The register moves on only while this is true."),
  outputs: z
    .array(
      z.strictObject({
        pin: pinName,
        inverted: pinName.optional().describe("Pin that carries the complement."),
        data: expressionSchema
          .optional()
          .describe("What the output takes at the clock (edge, transparent) or when loading."),
        divides: z
          .number()
          .int()
          .min(1)
          .optional()
          .describe("Counter output: its rate is the clock's divided by this."),
      }),
    )
    .min(1),
});

const logicSchema = z.strictObject({
  kind: z.literal("logic"),
  outputs: pinExpressions.describe("Combinational outputs by pin name."),
  registers: z.array(registerSchema).optional(),
  enables: pinExpressions.optional().describe("Tri-state outputs: driven only while true."),
});

const memorySchema = z.strictObject({
  kind: z.literal("memory"),
  content: z.enum(["ram", "rom"]),
  address: z.array(pinName).min(1).describe("Address pins, least significant first."),
  data: z
    .array(z.strictObject({ in: pinName.optional(), out: pinName }))
    .min(1)
    .describe("Data pins, least significant first; `in` where it differs from `out`."),
  read: expressionSchema.describe("True while the outputs are driven."),
  write: expressionSchema.optional().describe("True while a write takes place."),
  strobes: z.array(pinName).optional().describe("Dynamic memory: pins that must pulse, row strobe first."),
  refreshRows: z.number().int().optional(),
});

const processorSchema = z.strictObject({
  kind: z.literal("processor"),
  instructionSet: z.enum(["6502", "z80", "other"]),
  clock: z.array(pinName).min(1),
  clockOutputs: z.array(pinName).optional().describe("Clock pins the processor makes from its clock input."),
  reset: z.strictObject({ pin: pinName, active: z.enum(["low", "high"]) }),
  address: z.array(pinName).min(8).describe("Least significant first."),
  data: z.array(pinName).min(8).describe("Least significant first."),
  holds: z
    .array(
      z.strictObject({
        pin: pinName,
        active: z.enum(["low", "high"]),
        effect: z.enum(["stops", "releases-bus"]),
      }),
    )
    .describe("Inputs that stop the processor while active."),
  interrupts: z.array(z.strictObject({ pin: pinName, active: z.enum(["low", "high"]) })),
  cycles: z
    .partialRecord(
      z.enum(["fetch", "memory-read", "memory-write", "io-read", "io-write", "refresh", "idle"]),
      z.record(pinName, z.enum(["low", "high"])),
    )
    .describe("Level of every control output at the moment of transfer, by kind of bus cycle the chip has."),
});

const peripheralSchema = z.strictObject({
  kind: z.literal("peripheral"),
  data: z.array(pinName).describe("Data bus pins, least significant first."),
  registers: z.array(pinName).describe("Register select pins."),
  select: expressionSchema.describe("True while the chip is addressed."),
  read: expressionSchema.describe("True while it drives the data bus."),
  write: expressionSchema.describe("True while it takes data."),
  clocks: z.array(pinName).describe("Clock inputs it needs."),
  reset: expressionSchema.optional(),
  outputs: z.array(pinName).describe("Pins that work once the processor has set the chip up."),
  inputs: z.array(pinName).describe("Pins whose levels it reports to the processor."),
  interrupts: z.array(pinName).describe("Interrupt request outputs, idle unless asked for."),
});

const followsSchema = z.strictObject({
  kind: z.literal("follows"),
  outputs: z
    .record(pinName, z.array(pinName))
    .describe("For each output the pins it depends on: right if all are right, quiet if none of them moves."),
});

/** Kinds of part whose behaviour follows from how they are connected; see docs/formulas/settling.md. */
export const plainKinds = [
  "resistor",
  "resistor-network",
  "capacitor",
  "coil",
  "diode",
  "led",
  "transistor",
  "crystal",
  "fuse",
  "switch",
  "jumper",
  "connector",
  "test-point",
  "keyboard",
  "loudspeaker",
  "mechanical",
] as const;

const behaviourSchema = z.discriminatedUnion("kind", [
  logicSchema,
  memorySchema,
  processorSchema,
  peripheralSchema,
  followsSchema,
  z.strictObject({ kind: z.literal("oscillator"), output: pinName }),
  z.strictObject({
    kind: z.literal("supply"),
    inputs: z.array(pinName).describe("Supply pins it is fed from."),
    outputs: z.array(pinName).describe("Supply pins it feeds."),
    references: z.array(pinName).describe("Ground or common pins."),
  }),
  z.strictObject({ kind: z.literal("plain"), as: z.enum(plainKinds) }),
  z.strictObject({ kind: z.literal("cautious") }),
]);

/** One part type: its pins, supply, behaviour and what is needed to rate its failures. */
export const partTypeSchema = z.strictObject({
  type: z.string().min(1).describe("Industry number or generic name, e.g. `74LS157`, `resistor`."),
  title: z.string().min(1).describe("What it is, in a few words."),
  package: z.string().min(1).describe("Package, e.g. `DIP16`."),
  technology: z.enum(technologies),
  family: z.enum(failureFamilies),
  complexity: z
    .strictObject({
      gates: z.number().positive().optional(),
      bits: z.number().positive().optional(),
      transistors: z.number().positive().optional(),
      wordBits: z.number().positive().optional(),
    })
    .optional()
    .describe("Size of the chip as failure-rate handbooks count it."),
  pins: z
    .union([z.array(pinSchema).min(1), z.literal("as-board")])
    .describe("`as-board`: any pins the board gives it (connectors, resistors, keyboards)."),
  rails: z.array(railSchema),
  supplyCurrentMilliampere: z.number().nonnegative().optional().describe("Typical."),
  behaviour: behaviourSchema,
  sources: z.array(sourceReferenceSchema).min(1),
});

export const partTypeFileSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  types: z.array(partTypeSchema).min(1),
});

export type PartType = z.infer<typeof partTypeSchema>;
export type PartTypePin = z.infer<typeof pinSchema>;
export type Behaviour = PartType["behaviour"];
export type RegisterBehaviour = z.infer<typeof registerSchema>;
export type FailureFamily = (typeof failureFamilies)[number];
export type Technology = (typeof technologies)[number];
export type PinKind = (typeof pinKinds)[number];
