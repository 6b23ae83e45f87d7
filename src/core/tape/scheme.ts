import { z } from "zod";
import { checkKindSchema } from "./check-value.js";

const bitString = (what: string, shortest: number) =>
  z
    .string()
    .regex(/^[01]*$/)
    .min(shortest)
    .max(4)
    .describe(what);
const byteOrder = z.enum(["high-first", "low-first"]).describe("Which byte of a number comes first.");
const pulseName = z
  .string()
  .regex(/^[a-z][a-z0-9-]*$/)
  .describe("Name of a pulse, e.g. `short`.");

const signalSchema = z.discriminatedUnion("kind", [
  z.strictObject({
    kind: z.literal("tones").describe("Two tones an octave apart, in whole cycles for every bit."),
    highHz: z.number().min(300).max(20000).describe("The higher tone at nominal speed, e.g. 2400."),
    cyclesPerBit: z
      .int()
      .min(2)
      .max(64)
      .refine((count) => count % 2 === 0, "an even number, so that the lower tone has whole cycles too")
      .describe("Cycles of the higher tone in a bit, even; the lower tone has half as many."),
    highBit: z.union([z.literal(0), z.literal(1)]).describe("The bit that the higher tone stands for."),
  }),
  z.strictObject({
    kind: z.literal("pulses").describe("Pulses of two or more lengths, one after the other."),
    measure: z
      .enum(["half-wave", "cycle"])
      .describe(
        "What a length is: from crossing to crossing, or from one crossing to the next in the same direction.",
      ),
    lengths: z
      .array(
        z.strictObject({
          name: pulseName,
          microseconds: z.number().min(20).max(20000).describe("Length at nominal speed."),
        }),
      )
      .min(2)
      .max(6),
    zero: z.array(pulseName).min(1).max(8).describe("Pulses of a 0."),
    one: z.array(pulseName).min(1).max(8).describe("Pulses of a 1."),
  }),
  z.strictObject({
    kind: z.literal("phase").describe("A crossing in the middle of every bit, whose direction is the bit."),
    bitMicroseconds: z.number().min(40).max(20000).describe("Length of a bit at nominal speed."),
    oneRises: z.boolean().describe("True if a 1 goes from below to above in the middle of the bit."),
  }),
]);

const blockSchema = z.strictObject({
  start: z
    .array(z.int().min(0).max(255))
    .max(8)
    .describe("Bytes that every block begins with; they are looked for."),
  header: z
    .array(
      z.strictObject({
        name: z.string().min(1).describe("What the field is called, e.g. `load address`."),
        bytes: z.int().min(1).max(64),
        role: z
          .enum(["length", "address", "other"])
          .describe("`length` counts the bytes of the body; `address` is where they belong."),
        order: byteOrder,
      }),
    )
    .max(8),
  bodyBytes: z
    .int()
    .min(1)
    .max(65536)
    .optional()
    .describe("Bytes of a body whose length no field gives; what follows until the block ends if absent."),
  lengthAdds: z.int().min(-4).max(4).optional().describe("Added to the field to get the length."),
  check: z
    .strictObject({
      value: checkKindSchema,
      covers: z.enum(["body", "header-and-body"]).describe("What the check value is worked out over."),
      order: byteOrder,
    })
    .optional(),
  pauseSeconds: z.number().min(0).max(60).describe("Leader between two blocks."),
});

/** A way to keep bytes on a tape. */
export const tapeSchemeSchema = z
  .strictObject({
    $schema: z.string(),
    formatVersion: z.literal(1),
    id: z
      .string()
      .regex(/^[a-z0-9][a-z0-9-]*$/)
      .describe("Name for the command line, e.g. `kansas-city-300`."),
    title: z.string().min(1).describe("Name for people."),
    signal: signalSchema,
    leader: z.strictObject({
      seconds: z.number().min(0).max(60).describe("Length before the first block."),
      pulse: pulseName.optional().describe("Pulse it is made of; pulse schemes only."),
      bit: z
        .union([z.literal(0), z.literal(1)])
        .optional()
        .describe("Bit it is made of; phase schemes only."),
    }),
    sync: z
      .array(pulseName)
      .max(16)
      .optional()
      .describe("Pulses between the leader and the first bit; pulse schemes only."),
    syncBits: bitString("Bits between the leader and the first byte; phase schemes only.", 1)
      .max(16)
      .optional(),
    frame: z.strictObject({
      startBits: bitString("Bits before those of the byte, e.g. `0`.", 0),
      order: z.enum(["lowest-first", "highest-first"]).describe("Which bit of a byte comes first."),
      parity: z.enum(["none", "even", "odd"]),
      stopBits: bitString("Bits after those of the byte, e.g. `11`.", 0),
    }),
    block: blockSchema
      .optional()
      .describe("How bytes are laid out in blocks; a plain run of bytes if absent."),
    loader: z
      .strictObject({
        thresholdMicroseconds: z
          .number()
          .positive()
          .describe("A cycle (of a half-wave scheme: a half-wave) that is longer counts as long."),
        hysteresisRatio: z
          .number()
          .min(0)
          .max(0.9)
          .describe("Level that a crossing must pass, as a share of full scale."),
      })
      .optional()
      .describe("How the machine itself reads: what a margin check judges by."),
    sources: z
      .array(z.strictObject({ id: z.string(), confidence: z.enum(["seen", "memory", "estimate"]) }))
      .min(1),
  })
  .superRefine((scheme, context) => {
    for (const { path, message } of schemeFlaws(scheme)) context.addIssue({ code: "custom", path, message });
  });

/** A way to keep bytes on a tape. */
export type TapeScheme = z.infer<typeof tapeSchemeSchema>;
export type PulseSignal = Extract<TapeScheme["signal"], { kind: "pulses" }>;
export type BlockLayout = NonNullable<TapeScheme["block"]>;

interface Flaw {
  readonly path: (string | number)[];
  readonly message: string;
}

/** What the fields of a scheme say against each other. */
function schemeFlaws(scheme: {
  readonly signal: z.infer<typeof signalSchema>;
  readonly leader: { readonly pulse?: string | undefined; readonly bit?: 0 | 1 | undefined };
  readonly sync?: readonly string[] | undefined;
  readonly frame: { readonly startBits: string; readonly stopBits: string };
}): Flaw[] {
  const { signal, leader, sync, frame } = scheme;
  const flaws: Flaw[] = [];
  if (signal.kind === "pulses") {
    const names = signal.lengths.map(({ name }) => name);
    const lists = { zero: signal.zero, one: signal.one, sync: sync ?? [], leader: [leader.pulse ?? ""] };
    for (const [field, used] of Object.entries(lists)) {
      const unknown = used.find((name) => !names.includes(name));
      if (unknown === undefined) continue;
      const path = field === "sync" ? ["sync"] : field === "leader" ? ["leader", "pulse"] : ["signal", field];
      flaws.push({
        path,
        message: `must name pulses of signal.lengths (${names.join(", ")}), got '${unknown}'`,
      });
    }
    if (signal.zero.join() === signal.one.join())
      flaws.push({ path: ["signal", "one"], message: "must differ from the pulses of a 0" });
  }
  if (signal.kind === "tones" && (frame.startBits === "" || frame.stopBits === ""))
    flaws.push({
      path: ["frame"],
      message: "needs start and stop bits: tones have nothing else to tell bytes by",
    });
  if (signal.kind === "tones" && frame.startBits[0] === frame.stopBits.at(-1))
    flaws.push({
      path: ["frame", "startBits"],
      message: "must begin with another bit than the stop bits end with",
    });
  if (signal.kind === "phase" && leader.bit === undefined)
    flaws.push({ path: ["leader", "bit"], message: "is needed: a phase scheme's leader is made of bits" });
  return flaws;
}

/** Bits of one character in the order of the tape: 0 and 1 where fixed, -1 - n for bit n of the byte, -10 for parity. */
export function framePattern({ frame }: TapeScheme): number[] {
  const fixed = (text: string): number[] => [...text].map(Number);
  const places = [0, 1, 2, 3, 4, 5, 6, 7];
  if (frame.order === "highest-first") places.reverse();
  const parity = frame.parity === "none" ? [] : [-10];
  return [
    ...fixed(frame.startBits),
    ...places.map((place) => -1 - place),
    ...parity,
    ...fixed(frame.stopBits),
  ];
}

/** The bits of a byte as they go on tape. */
export function frameBits(scheme: TapeScheme, byte: number): number[] {
  let ones = 0;
  for (let i = 0; i < 8; i += 1) ones += (byte >> i) & 1;
  const parity = scheme.frame.parity === "even" ? ones % 2 : 1 - (ones % 2);
  return framePattern(scheme).map((bit) =>
    bit >= 0 ? bit : bit === -10 ? parity : (byte >> (-1 - bit)) & 1,
  );
}
