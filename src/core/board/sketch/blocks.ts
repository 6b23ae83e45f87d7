import { z } from "zod";

/** Processors a sketch can be made with. */
export const sketchProcessors = ["6502", "6510", "65C02", "6809", "8080", "8085", "Z80"] as const;

/** What a custom chip may do besides what its block says. */
export const customDuties = ["addressing", "clock", "decoding", "keyboard", "sound", "tape"] as const;

const ref = z
  .string()
  .regex(/^[A-Za-z][A-Za-z0-9]{0,11}$/)
  .describe("Reference as printed on the board, where it is known.");
const refs = z
  .array(ref)
  .max(64)
  .optional()
  .describe("References as printed, in the order of the chips; missing ones are made up.");
const socketed = z
  .boolean()
  .optional()
  .describe("In a socket; if absent, chips of 24 pins and more but RAM are taken to be.");
const typeName = z.string().min(1).max(40);

const railBlock = z.strictObject({
  volt: z.union([z.literal(5), z.literal(12), z.literal(-5), z.literal(-12)]),
  from: z
    .enum(["outside", "regulator", "converter"])
    .describe("Straight from a supply unit, from a regulator on the board, or from a converter stage."),
  ref: ref.optional(),
});

const clockBlock = z.strictObject({
  by: z
    .enum(["crystal", "module", "chip", "video"])
    .describe("Gates around a crystal, an oscillator module, a clock chip, or the custom video chip."),
  megahertz: z.number().min(0.1).max(60).optional().describe("Rate of the crystal; 16 if absent."),
  ref: ref.optional(),
});

const ramBlock = z.strictObject({
  type: typeName,
  chips: z.number().int().min(1).max(64),
  use: z
    .enum(["main", "screen", "colour"])
    .default("main")
    .describe("Main memory, a screen memory of its own, or a memory of colours."),
  bits: z
    .array(z.array(z.number().int().min(0).max(7)).min(1).max(8))
    .optional()
    .describe("Data bits of each chip, in the order of the chips; counted upwards if absent."),
  refs,
  socketed,
});

const ioBlock = z.strictObject({
  type: typeName.describe("6522, 6526, 6821, 8255, Z80-PIO, 8251 ... or a name of one's own."),
  ref: ref.optional(),
  socketed,
});

/** A machine described by its blocks: what `boardwake board sketch` reads. */
export const blocksSchema = z.strictObject({
  $schema: z.string().optional(),
  formatVersion: z.literal(1),
  id: z.string().regex(/^[a-z0-9][a-z0-9-]{0,60}$/),
  title: z.string().min(1).max(120),
  year: z.number().int().min(1970).max(2100).optional().describe("Year of make; gives the age."),
  machineFamily: z
    .string()
    .max(120)
    .optional()
    .describe("Kind of machine, as data/failure/field-factors.json names it."),
  rails: z
    .array(railBlock)
    .max(4)
    .default([{ volt: 5, from: "regulator" }]),
  fuse: z.boolean().default(true).describe("A fuse before the first rail."),
  powerSwitch: z.boolean().default(true).describe("A switch before the first rail."),
  clock: clockBlock.default({ by: "crystal" }),
  reset: z
    .strictObject({
      by: z.enum(["gates", "timer"]).describe("Resistor, capacitor and gates, or a timer chip."),
      type: typeName.optional().describe("555 or 556; 555 if absent."),
      ref: ref.optional(),
    })
    .default({ by: "gates" }),
  processor: z.strictObject({ type: z.enum(sketchProcessors), ref: ref.optional(), socketed }),
  roms: z
    .array(z.strictObject({ type: typeName, count: z.number().int().min(1).max(16), refs, socketed }))
    .min(1)
    .max(8),
  ram: z.array(ramBlock).min(1).max(6),
  addressing: z
    .strictObject({
      by: z
        .enum(["multiplexers", "controller"])
        .describe("How a dynamic memory gets its rows and columns: multiplexers, or a controller chip."),
      type: typeName.optional().describe("74LS153, 74LS157, 74LS158, 74LS257 or 74LS258, or a name."),
      refs,
    })
    .default({ by: "multiplexers" }),
  decoding: z
    .strictObject({
      by: z
        .enum(["decoders", "array", "custom"])
        .describe("74LS138 and gates, a logic array, or a custom chip."),
      type: typeName.optional(),
      ref: ref.optional(),
      socketed,
    })
    .default({ by: "decoders" }),
  video: z
    .strictObject({
      by: z
        .enum(["none", "discrete", "controller", "custom"])
        .describe("No picture; counters and gates; a 6845 or 9918A; a custom chip."),
      type: typeName.optional().describe("Type or name of the controller or custom chip; 6845 if absent."),
      ref: ref.optional(),
      socketed,
      characterRom: typeName
        .optional()
        .describe("Type of the character generator, if there is one; without it the picture is dots."),
      also: z
        .array(z.enum(customDuties))
        .default([])
        .describe("What else the custom video chip does. Each duty is here or with another custom chip."),
      output: z.enum(["transistor", "encoder"]).default("transistor"),
    })
    .default({ by: "none", also: [], output: "transistor" }),
  io: z.array(ioBlock).max(6).default([]),
  keyboard: z
    .strictObject({ columns: z.number().int().min(1).max(10).default(8), ribbon: z.boolean().default(true) })
    .optional(),
  sound: z
    .strictObject({
      by: z.enum(["beeper", "chip"]),
      type: typeName.optional().describe("Type or name of the sound chip."),
      ref: ref.optional(),
      startBeep: z.boolean().default(false).describe("The healthy machine beeps at start-up."),
    })
    .optional(),
  tape: z.strictObject({ motor: z.boolean().default(false) }).optional(),
  buffers: z
    .array(
      z.strictObject({
        of: z.enum(["data", "address"]),
        type: z.enum(["74LS244", "74LS245", "74LS367"]).default("74LS244"),
        refs,
      }),
    )
    .max(2)
    .default([])
    .describe("Buffers between the processor and an expansion connector."),
  custom: z
    .array(
      z.strictObject({
        name: typeName,
        ref: ref.optional(),
        does: z.array(z.enum(customDuties)).max(6).default([]),
        socketed,
      }),
    )
    .max(6)
    .default([])
    .describe("Other custom chips; one without a duty sits on the bus and takes part by the cautious rule."),
  memoryFigure: z.boolean().default(false).describe("The healthy machine shows how much memory it found."),
});

/** A block description as the sketch takes it: all defaults filled in. */
export type Blocks = z.infer<typeof blocksSchema>;
/** A block description as people write it. */
export type BlocksInput = z.input<typeof blocksSchema>;
export type RamBlock = Blocks["ram"][number];
export type CustomDuty = (typeof customDuties)[number];
