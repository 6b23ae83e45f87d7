import { z } from "zod";
import { sourceReferenceSchema } from "./part-type.js";
import { pictureLayoutSchema } from "./picture-layout.js";

/** Version of the format of board files that is written; older ones are read as well. */
export const boardFormatVersion = 3;

const netName = z.string().min(1).max(120);
const partRef = z.string().min(1).max(40);
const level = z.enum(["low", "high", "pulsing", "released"]);

/** Parts of a machine a restorer thinks in. */
export const sections = [
  "supply",
  "clock",
  "reset",
  "processor",
  "memory",
  "decoding",
  "video",
  "io",
  "keyboard",
  "sound",
  "tape",
  "serial",
  "other",
] as const;

const partSchema = z.strictObject({
  ref: partRef.describe("Reference as printed on the board, e.g. `U7`."),
  type: z.string().min(1).describe("Name of a part type."),
  value: z.string().optional().describe("Value as printed: `100n`, `4k7`, `14.318 MHz`."),
  frequencyHertz: z.number().positive().optional().describe("Crystals and oscillators."),
  section: z.enum(sections),
  xMillimetre: z
    .number()
    .describe("Centre of the part from the left edge of the outline, component side up."),
  yMillimetre: z.number().describe("Centre of the part from the top edge."),
  rotationDegree: z
    .union([z.literal(0), z.literal(90), z.literal(180), z.literal(270)])
    .describe("0: pin 1 at the top left."),
  side: z
    .enum(["front", "back"])
    .optional()
    .describe("Side of the board the part is on; `front`, the component side, if absent."),
  pads: z
    .record(z.string(), z.tuple([z.number(), z.number()]))
    .optional()
    .describe(
      "Where the pins meet the board, by pin number: millimetres from the left and the top edge, component side up. Absent where only the place of the part is known.",
    ),
  socketed: z.boolean().optional(),
  samplesIn: z
    .array(z.string())
    .optional()
    .describe("Ids of the phases in which a clocked part takes its data; all if absent."),
  pins: z.record(z.string(), netName).describe("Net by pin number; a pin left open is absent."),
  source: z
    .literal("assumed")
    .optional()
    .describe("`assumed`: nobody has seen the part; a sketch put it where such boards usually have one."),
  assumedPins: z
    .array(z.string())
    .optional()
    .describe("Numbers of the pins whose net is assumed: a sketch wired them in the usual way."),
});

const phaseSchema = z.strictObject({
  id: z.string().min(1),
  title: z.string().min(1),
  cycle: z
    .enum(["fetch", "memory-read", "memory-write", "io-read", "io-write", "refresh", "idle", "none"])
    .describe("What the processor does at this moment; `none` where the board has no processor."),
  address: z
    .string()
    .regex(/^[01x]+$/)
    .optional()
    .describe("Address lines at this moment, most significant first: 0, 1, or x for any."),
  needed: z
    .enum(["start-code", "workspace", "later"])
    .optional()
    .describe(
      "What goes wrong if this transfer is wrong: the first instructions, the stack, or only a later function.",
    ),
  levels: z
    .record(netName, level)
    .optional()
    .describe("Healthy levels at this moment of nets that clocked, analogue or outside parts drive."),
});

const hexAddress = z.string().regex(/^[0-9A-F]{1,6}$/);

const memoryRegionSchema = z.strictObject({
  id: z.string().min(1),
  title: z.string().min(1),
  kind: z.enum(["ram", "rom", "screen", "io"]),
  from: hexAddress.describe("First address, hexadecimal, upper case."),
  to: hexAddress.describe("Last address, hexadecimal, upper case."),
  space: z.enum(["memory", "io"]),
  chips: z
    .array(
      z.strictObject({
        part: partRef,
        bits: z
          .array(z.number().int().min(0).max(15))
          .describe("Data bits in the order of the chip's data pins."),
        from: hexAddress.optional(),
        to: hexAddress.optional(),
      }),
    )
    .describe("Which chip holds which data bits."),
});

const pictureSchema = z.strictObject({
  sync: z.array(netName).min(1).describe("Nets that make the synchronising pulses."),
  border: z
    .array(netName)
    .describe("Nets that make border and blanking; empty if the picture has no border."),
  content: z.array(netName).min(1).describe("Nets on the way of the picture data, from fetch to the output."),
  output: z.array(netName).min(1).describe("Nets at the picture socket."),
  memory: z.array(z.string()).min(1).describe("Ids of memory regions the picture is fetched from."),
  characterBits: z
    .array(netName)
    .describe("Nets of the fetched character or picture byte, bit 0 first; empty if none."),
  generator: z.array(partRef).describe("Character generator chips; empty for a picture drawn bit by bit."),
  needsProgram: z.boolean().describe("True if the processor must set up the picture before there is any."),
  layout: pictureLayoutSchema
    .optional()
    .describe(
      "Where each place of the picture lies in memory; without it no picture of a memory fault is drawn.",
    ),
});

const soundSchema = z.strictObject({
  nets: z.array(netName).min(1).describe("Nets from the maker of the sound to the loudspeaker."),
  startBeep: z.boolean().describe("The healthy machine beeps at start-up."),
});

const keysSchema = z.strictObject({
  drive: z.array(netName).describe("Matrix lines the machine drives."),
  sense: z.array(netName).describe("Matrix lines the machine reads."),
  readIn: z.array(z.string()).optional().describe("Ids of the phases in which the machine reads the keys."),
});

const tapeSchema = z.strictObject({
  input: z.array(netName),
  output: z.array(netName),
  motor: z.array(netName),
});

/** How what the user sees and hears depends on the board. */
const chainSchema = z.strictObject({
  picture: pictureSchema.optional(),
  sound: soundSchema.optional(),
  keys: keysSchema.optional(),
  tape: tapeSchema.optional(),
  lamp: z.array(netName).optional().describe("Nets that light the power lamp."),
  memoryFigure: z.boolean().describe("The healthy machine shows how much memory it found."),
});

const hexByte = z.string().regex(/^[0-9A-F]{2}$/);
const beaconId = z.string().regex(/^[a-z0-9][a-z0-9-]{0,40}$/);

const beaconSchema = z.discriminatedUnion("kind", [
  z
    .strictObject({
      kind: z.literal("bus"),
      id: beaconId,
      title: z.string().min(1),
      part: partRef.describe("Part on which the probe goes."),
      pin: z.string().min(1).describe("Number of the pin the probe goes on."),
      space: z.enum(["memory", "io"]),
      address: hexAddress.describe("Reading this address or port makes the line active for one transfer."),
      active: z.enum(["low", "high"]),
      why: z.string().min(1).describe("Why refresh and instruction fetches leave the line alone."),
    })
    .describe("A decoded select line that nothing moves but a read of its own address."),
  z
    .strictObject({
      kind: z.literal("port"),
      id: beaconId,
      title: z.string().min(1),
      net: netName.describe("Net that moves."),
      medium: z.enum(["sound", "light", "picture"]).describe("How it is noticed."),
      space: z.enum(["memory", "io"]),
      address: hexAddress,
      on: hexByte.describe("Byte written for on."),
      off: hexByte.describe(
        "Byte written for off; for sound, on and off take turns while it is on. Beacons that share an address are written together: the bytes are or-ed.",
      ),
      setUp: z
        .array(z.strictObject({ address: hexAddress, value: hexByte }))
        .describe("Writes, in the same space, that prepare the port; empty if none are needed."),
    })
    .describe("A bit of a port that can be heard or seen."),
  z
    .strictObject({
      kind: z.literal("screen"),
      id: beaconId,
      title: z.string().min(1),
      from: hexAddress.describe("First address of the line of words or of the band."),
      to: hexAddress.describe("Last address."),
      on: hexByte.describe("Byte of the band while it is on."),
      off: hexByte.describe("Byte of the band while it is off; also the blank between words."),
      characters: z
        .literal("ascii")
        .optional()
        .describe("Code of the character generator; without it the screen carries the band only."),
    })
    .describe("Part of the picture memory, for words or for a band that comes and goes."),
]);

const selfTestSchema = z.strictObject({
  clockHertz: z.number().positive().describe("Clock of the processor."),
  refreshBy: z
    .enum(["processor", "picture", "none"])
    .describe("Who keeps dynamic memory alive; `none` where there is none, or a circuit of its own does it."),
  beacons: z.array(beaconSchema),
});

/** A machine's circuit as data. */
export const boardSchema = z.strictObject({
  $schema: z.string().optional(),
  formatVersion: z
    .union([z.literal(1), z.literal(2), z.literal(boardFormatVersion)])
    .describe(
      "3 is written. Files of version 1, which had neither `side` nor `pads`, and of version 2, which had nothing assumed, are read as 3.",
    ),
  id: z.string().regex(/^[a-z0-9][a-z0-9-]{0,60}$/),
  title: z.string().min(1),
  summary: z.string(),
  year: z.number().int().min(1970).max(2100).optional().describe("Year of make; gives the age."),
  machineFamily: z
    .string()
    .optional()
    .describe("Kind of machine, as data/failure/field-factors.json names it."),
  outline: z.strictObject({
    widthMillimetre: z.number().positive(),
    heightMillimetre: z.number().positive(),
  }),
  ground: netName,
  rails: z.array(
    z.strictObject({
      net: netName,
      nominalVolt: z.number(),
      tolerancePercent: z.number().positive(),
      raw: z.boolean().optional().describe("True for an unregulated or alternating feed."),
    }),
  ),
  parts: z.array(partSchema).min(1),
  processor: partRef.optional(),
  assumedWiredOtherwise: z
    .number()
    .min(0)
    .max(0.9)
    .optional()
    .describe("Chance that an assumed pin of a sketched board is wired otherwise; 0 if absent."),
  steady: z
    .record(netName, level)
    .describe("Healthy levels, the same at every moment, of nets whose driver cannot tell by itself."),
  phases: z.array(phaseSchema).min(1),
  memory: z.array(memoryRegionSchema),
  chain: chainSchema,
  selfTest: selfTestSchema
    .optional()
    .describe("What a self-test in ROM needs to know: clock, refresh, and where it can show its verdict."),
  accepted: z
    .array(z.strictObject({ rule: z.string(), at: z.string(), why: z.string() }))
    .describe("Findings of the electrical check that are as they should be, with the reason."),
  sources: z.array(sourceReferenceSchema),
});

export type Board = z.infer<typeof boardSchema>;
export type BoardPart = z.infer<typeof partSchema>;
export type BoardPhase = z.infer<typeof phaseSchema>;
export type BoardLevel = z.infer<typeof level>;
export type MemoryRegion = z.infer<typeof memoryRegionSchema>;
export type SelfTestMeans = z.infer<typeof selfTestSchema>;
export type BoardBeacon = z.infer<typeof beaconSchema>;
export type PictureChain = z.infer<typeof pictureSchema>;
export type Section = (typeof sections)[number];
