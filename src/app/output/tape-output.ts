import { z } from "zod";
import type { Problem } from "../../core/base/problem.js";
import { meanSpeedErrorPercent } from "../../core/tape/read-tape.js";
import { alternatives } from "../../core/tape/soft-byte.js";
import { isDoubtful, type TapeReading } from "../tape-read.js";
import { listOf, problemsField } from "./shapes.js";

const count = z.int().nonnegative();
const seconds = z.number().describe("Seconds from the start of the recording.");
const byteValue = z.int().min(0).max(255);

const doubtSchema = z.strictObject({
  offset: count.describe("Place in the bytes that are put out."),
  startSeconds: seconds,
  endSeconds: seconds,
  value: byteValue,
  confidence: z.number().describe("Probability that the value is right."),
  alternatives: z.array(z.strictObject({ value: byteValue, probability: z.number() })),
  take: z.string().optional().describe("Take that spoke loudest, where there are several."),
});

const blockOutputSchema = z.strictObject({
  number: count.describe("From 1."),
  offset: count.describe("Place of its first byte in the bytes that are put out."),
  length: count,
  startSeconds: seconds,
  endSeconds: seconds,
  fields: z.array(z.strictObject({ name: z.string(), value: count })),
  check: z.enum(["none", "good", "bad", "cut"]),
  checkFound: count.optional(),
  checkComputed: count.optional(),
  repair: z
    .strictObject({
      offset: z
        .int()
        .describe("Place in the bytes that are put out; negative if the bit lies in header or check value."),
      from: byteValue,
      to: byteValue,
      bitConfidence: z.number(),
      rivals: count,
    })
    .optional()
    .describe("One bit whose change makes the check good: an offer, made only if asked for."),
  doubtful: z.array(count).describe("Places in the bytes that are put out."),
  doubts: z.array(doubtSchema).describe("The first 200 doubtful bytes with what else they may be."),
  speedErrorPercent: z.number().optional(),
  takes: z.record(z.string(), count).optional().describe("How many bytes each take gave."),
});

/** What `boardwake tape read --json` and `tape combine --json` print, and what the manifest beside the bytes holds. */
export const tapeReadOutputSchema = z.strictObject({
  recordings: z.array(z.string()),
  scheme: z.string(),
  blocks: listOf(blockOutputSchema),
  bytes: count,
  doubtful: z.array(count).describe("Places of all doubtful bytes."),
  speedErrorPercent: z.number().optional().describe("Mean over all bytes; positive if the tape runs fast."),
  secondsOfAudio: z.number(),
  seconds: z.number().describe("Time it took."),
  channels: z.array(z.string()),
  peak: z.number().describe("Loudest sample, as a share of full scale."),
  clippedShare: z.number().describe("Share of samples that were cut off at full scale."),
  problems: problemsField,
});

/** Doubtful bytes of a block that are written out with alternatives. */
const mostDoubts = 200;

/** Output of a recording that was read. */
export function tapeReadOutput(
  reading: TapeReading,
  elapsedSeconds: number,
  problems: readonly Problem[],
): z.infer<typeof tapeReadOutputSchema> {
  let offset = 0;
  const blocks = reading.blocks.map((block, i) => {
    const output = blockOutput(reading, block, { number: i + 1, offset });
    offset += block.bodyEnd - block.bodyStart;
    return output;
  });
  const speed = meanSpeedErrorPercent(reading.tape);
  return {
    recordings: [...reading.takes],
    scheme: reading.scheme.id,
    blocks,
    bytes: offset,
    doubtful: blocks.flatMap(({ doubtful }) => doubtful),
    ...(speed === undefined ? {} : { speedErrorPercent: speed }),
    secondsOfAudio: reading.secondsOfAudio,
    seconds: elapsedSeconds,
    channels: [...reading.channels],
    peak: reading.peak,
    clippedShare: reading.clippedShare,
    problems: [...problems],
  };
}

function blockOutput(
  reading: TapeReading,
  block: TapeReading["blocks"][number],
  { number, offset }: { readonly number: number; readonly offset: number },
): z.infer<typeof blockOutputSchema> {
  const { tape } = reading;
  const { firstByte, bodyStart, bodyEnd, lastByte, check, checkFound, checkComputed, repair } = block;
  const doubtful: number[] = [];
  const doubts: z.infer<typeof doubtSchema>[] = [];
  const given = new Map<string, number>();
  for (let i = bodyStart; i < bodyEnd; i += 1) {
    const source = tape.source(i);
    const take = source === undefined || reading.takes.length < 2 ? undefined : reading.takes[source];
    if (take !== undefined) given.set(take, (given.get(take) ?? 0) + 1);
    if (!isDoubtful(reading, block, i)) continue;
    const at = offset + i - bodyStart;
    doubtful.push(at);
    if (doubts.length >= mostDoubts) continue;
    doubts.push({
      offset: at,
      startSeconds: tape.startSeconds(i),
      endSeconds: tape.endSeconds(i),
      value: tape.value(i),
      confidence: 1 - tape.doubt(i),
      alternatives: alternatives(tape, i, 3),
      ...(take === undefined ? {} : { take }),
    });
  }
  const speed = meanSpeedErrorPercent(tape, firstByte, lastByte);
  return {
    number,
    offset,
    length: bodyEnd - bodyStart,
    startSeconds: tape.startSeconds(firstByte),
    endSeconds: tape.endSeconds(lastByte - 1),
    fields: block.fields.map(({ name, value }) => ({ name, value })),
    check,
    ...(checkFound === undefined ? {} : { checkFound }),
    ...(checkComputed === undefined ? {} : { checkComputed }),
    ...(repair === undefined
      ? {}
      : {
          repair: {
            offset: offset + repair.byte - bodyStart,
            from: repair.from,
            to: repair.to,
            bitConfidence: repair.bitConfidence,
            rivals: repair.rivals,
          },
        }),
    doubtful,
    doubts,
    ...(speed === undefined ? {} : { speedErrorPercent: speed }),
    ...(given.size === 0 ? {} : { takes: Object.fromEntries(given) }),
  };
}

/** What the manifest beside a file of bytes holds beyond the output: of each byte its place in time and its confidence. */
export function tapeManifest(
  output: z.infer<typeof tapeReadOutputSchema>,
  reading: TapeReading,
): Record<string, unknown> {
  const startSeconds: number[] = [];
  const confidence: number[] = [];
  for (const { bodyStart, bodyEnd } of reading.blocks) {
    for (let i = bodyStart; i < bodyEnd; i += 1) {
      startSeconds.push(Number(reading.tape.startSeconds(i).toFixed(5)));
      confidence.push(Number((1 - reading.tape.doubt(i)).toFixed(4)));
    }
  }
  const { seconds: _, ...rest } = output;
  return { format: "boardwake tape manifest", formatVersion: 1, ...rest, startSeconds, confidence };
}
