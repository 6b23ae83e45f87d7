import { z } from "zod";
import type { Problem } from "../../core/base/problem.js";
import { beltSections } from "../../core/deck/belt.js";
import { speedHints } from "../../core/deck/hints.js";
import { judgedQuantities } from "../../core/deck/limits.js";
import type { FoundBelt } from "../deck-belt.js";
import type { MeasuredDeck } from "../deck-measure.js";
import type { MadeTone } from "../deck-tone.js";
import { listOf, problemsField } from "./shapes.js";

const percent = z.number();
const decibel = z.number();
const grade = z.enum(["good", "fair", "poor"]);

/** What `boardwake deck measure --json` prints. */
export const deckOutputSchema = z.strictObject({
  file: z.string(),
  secondsOfAudio: z.number(),
  toneSeconds: z.number().describe("Length of the tone that was measured."),
  toneHz: z.number().describe("The reference tone that the speed is judged against."),
  otherToneHz: z.number().nullable().describe("The other tone that it could be; null if there is no doubt."),
  measuredHz: z.number(),
  ownRecording: z
    .boolean()
    .describe("True if the deck recorded the tone itself, which hides its mean speed error."),
  speedErrorPercent: percent.describe("Mean; positive is fast."),
  speedErrorStartPercent: percent,
  speedErrorMiddlePercent: percent,
  speedErrorEndPercent: percent,
  flutterWeightedPeakPercent: percent
    .nullable()
    .describe("Two-sigma, IEC 60386 and AES6; null if too short."),
  flutterUnweightedPeakPercent: percent.nullable().describe("Two-sigma, 0.2 to 200 Hz."),
  flutterWeightedRmsPercent: percent.nullable().describe("Effective value, as NAB and JIS meters read."),
  flutterUnweightedRmsPercent: percent.nullable(),
  dropouts: listOf(
    z.strictObject({ seconds: z.number(), durationSeconds: z.number(), depthDecibel: decibel }),
  ).describe("Losses of 6 dB or more for a millisecond or longer."),
  peaks: listOf(
    z.strictObject({
      hz: z.number(),
      percent: percent.describe("Greatest departure of a flutter of this frequency."),
      causes: listOf(
        z.strictObject({
          part: z.string(),
          harmonic: z.int().describe("1 for once a turn."),
          usualSize: z.boolean().describe("True if no size was given and a usual one was taken."),
        }),
      ).describe("The likeliest first."),
    }),
  ).describe("The greatest first."),
  levelDecibel: listOf(decibel).describe("Of each channel, of full scale."),
  levelSpreadDecibel: decibel.describe("Nine of ten tenths of a second lie within it."),
  noise: z
    .strictObject({
      mainsHz: z.number(),
      humDecibel: decibel,
      noiseDecibel: decibel.describe("20 Hz to 20 kHz, unweighted."),
      thirdHarmonicDecibel: decibel,
    })
    .nullable()
    .describe("Against the tone."),
  response: listOf(
    z.strictObject({
      hz: z.number(),
      decibel: listOf(decibel).describe("Of each channel, of full scale."),
      relativeDecibel: listOf(decibel).describe(
        "Against the tone nearest to 400 Hz, else the reference tone.",
      ),
    }),
  ),
  azimuth: z
    .strictObject({
      balanceDecibel: decibel.describe("Left against right."),
      sameSignal: z
        .boolean()
        .describe("True if both channels are one: then nothing can be said of the head."),
      tiltMinutes: z
        .number()
        .nullable()
        .describe("Tilt of the head against the recording; positive: left ahead."),
      delayMicroseconds: z.number().nullable(),
    })
    .nullable()
    .describe("null for one channel."),
  verdict: z.strictObject({
    limits: z.string(),
    kind: z.enum(["standard", "maker", "common-practice"]),
    grade: grade.nullable().describe("The worst; null if nothing could be judged."),
    judgements: listOf(
      z.strictObject({
        quantity: z.enum(judgedQuantities),
        value: z.number(),
        unit: z.string(),
        good: z.number(),
        poor: z.number(),
        grade,
      }),
    ),
    notMeasured: listOf(z.enum(judgedQuantities)),
  }),
  hints: listOf(z.string()),
  problems: problemsField,
});

/** Output of a measurement. */
export function deckOutput(
  { file, reading, verdict }: MeasuredDeck,
  problems: readonly Problem[],
): z.infer<typeof deckOutputSchema> {
  const { speed, flutter, azimuth, noise } = reading;
  return {
    file,
    secondsOfAudio: reading.seconds,
    toneSeconds: reading.toneEndSeconds - reading.toneStartSeconds,
    toneHz: reading.toneHz,
    otherToneHz: reading.otherToneHz ?? null,
    measuredHz: reading.measuredHz,
    ownRecording: reading.isOwnRecording,
    speedErrorPercent: 100 * speed.meanRatio,
    speedErrorStartPercent: 100 * speed.startRatio,
    speedErrorMiddlePercent: 100 * speed.middleRatio,
    speedErrorEndPercent: 100 * speed.endRatio,
    flutterWeightedPeakPercent: inPercent(flutter?.weightedPeakRatio),
    flutterUnweightedPeakPercent: inPercent(flutter?.unweightedPeakRatio),
    flutterWeightedRmsPercent: inPercent(flutter?.weightedRmsRatio),
    flutterUnweightedRmsPercent: inPercent(flutter?.unweightedRmsRatio),
    dropouts: reading.dropouts.map(({ startSeconds, durationSeconds, depthDecibel }) => ({
      seconds: startSeconds,
      durationSeconds,
      depthDecibel,
    })),
    peaks: reading.peaks.map(({ hz, depthRatio, causes }) => ({
      hz,
      percent: 100 * depthRatio,
      causes: causes.map(({ part, harmonic, isUsual }) => ({ part, harmonic, usualSize: isUsual })),
    })),
    levelDecibel: reading.level.channelDecibel,
    levelSpreadDecibel: reading.level.spreadDecibel,
    noise: noise ?? null,
    response: reading.response.map(({ hz, decibel: level, relativeDecibel }) => ({
      hz,
      decibel: level,
      relativeDecibel,
    })),
    azimuth:
      azimuth === undefined
        ? null
        : {
            balanceDecibel: azimuth.balanceDecibel,
            sameSignal: azimuth.isSameSignal,
            tiltMinutes: azimuth.tilt?.minutes ?? null,
            delayMicroseconds: azimuth.tilt === undefined ? null : 1e6 * azimuth.tilt.delaySeconds,
          },
    verdict: {
      limits: verdict.set.id,
      kind: verdict.set.kind,
      grade: verdict.grade ?? null,
      judgements: verdict.judgements,
      notMeasured: verdict.notMeasured,
    },
    hints: speedHints(reading).map(({ text }) => text),
    problems: problems.map(({ where, ...problem }) => ({ ...problem, where: { ...where } })),
  };
}

function inPercent(ratio: number | undefined): number | null {
  return ratio === undefined ? null : 100 * ratio;
}

const range = z.strictObject({ low: z.number(), usual: z.number(), high: z.number() });

/** What `boardwake deck belt --json` prints. */
export const beltOutputSchema = z.strictObject({
  section: z.enum(beltSections),
  pathMillimetres: z
    .number()
    .nullable()
    .describe("Way round the pulleys; null if only the old belt is known."),
  innerMillimetres: range.describe("Inner length, untensioned."),
  innerDiameterMillimetres: range,
  rule: z
    .strictObject({ of: z.enum(["stretch", "ageing"]), ratio: range })
    .describe("The rule of thumb that was used. Common practice, no source."),
  correctedPulleyMillimetres: z.number().nullable(),
  problems: problemsField,
});

/** Output of a belt. */
export function beltOutput(belt: FoundBelt): z.infer<typeof beltOutputSchema> {
  const { section, innerMillimetres, innerDiameterMillimetres, rule } = belt;
  return {
    section,
    pathMillimetres: belt.pathMillimetres ?? null,
    innerMillimetres,
    innerDiameterMillimetres,
    rule,
    correctedPulleyMillimetres: belt.correctedPulleyMillimetres ?? null,
    problems: [],
  };
}

/** What `boardwake deck tone --json` prints. */
export const toneOutputSchema = z.strictObject({
  file: z.string(),
  tones: listOf(z.number()).describe("Frequencies in their order, Hz."),
  seconds: z.number(),
  problems: problemsField,
});

/** Output of a test recording that was written. */
export function toneOutput(file: string, { tones, seconds }: MadeTone): z.infer<typeof toneOutputSchema> {
  return { file, tones, seconds, problems: [] };
}
