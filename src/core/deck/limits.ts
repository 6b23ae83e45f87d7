import { z } from "zod";
import type { DeckReading } from "./reading.js";

/** What of a deck is judged. */
export const judgedQuantities = [
  "speed-error",
  "flutter-weighted-peak",
  "flutter-weighted-rms",
  "dropouts-per-minute",
  "level-spread",
  "channel-balance",
  "azimuth",
] as const;
export type JudgedQuantity = (typeof judgedQuantities)[number];

const units: Readonly<Record<JudgedQuantity, string>> = {
  "speed-error": "%",
  "flutter-weighted-peak": "%",
  "flutter-weighted-rms": "%",
  "dropouts-per-minute": "/min",
  "level-spread": "dB",
  "channel-balance": "dB",
  azimuth: "minutes",
};

const limitSchema = z.strictObject({
  quantity: z.enum(judgedQuantities),
  good: z
    .number()
    .positive()
    .describe("Up to this the deck is good: per cent, decibels, minutes of arc, a minute."),
  poor: z.number().positive().optional().describe("Above this it needs service; `good` if absent."),
});

const limitSetSchema = z.strictObject({
  id: z
    .string()
    .regex(/^[a-z0-9]+(-[a-z0-9]+)*$/)
    .describe("Name of the set, as `data-recorder`."),
  title: z.string().min(1).max(120),
  kind: z.enum(["standard", "maker", "common-practice"]).describe("Who says so."),
  sources: z
    .array(
      z.strictObject({
        id: z.string().describe("Id in sources.json."),
        confidence: z.enum(["seen", "memory", "estimate"]),
      }),
    )
    .min(1),
  note: z.string().max(400).optional(),
  limits: z.array(limitSchema).min(1),
});
/** Limits that a deck is judged by, with where they come from. */
export type LimitSet = z.infer<typeof limitSetSchema>;

/** The file of limits. */
export const deckLimitsFileSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  sets: z.array(limitSetSchema).min(1).describe("By id."),
});
export type DeckLimitsFile = z.infer<typeof deckLimitsFileSchema>;

/** How a quantity stands against its limits. */
export type Grade = "good" | "fair" | "poor";

/** One quantity judged. */
export interface Judgement {
  readonly quantity: JudgedQuantity;
  readonly value: number;
  readonly unit: string;
  readonly good: number;
  readonly poor: number;
  readonly grade: Grade;
}

/** A deck judged by a set of limits. */
export interface Verdict {
  readonly set: LimitSet;
  readonly judgements: readonly Judgement[];
  /** What the set limits and the recording does not show. */
  readonly notMeasured: readonly JudgedQuantity[];
  /** The worst of the judgements; undefined if nothing could be judged. */
  readonly grade: Grade | undefined;
}

/**
 * Judges a reading. The speed error is that of the worst of start, middle and end; on a tape that the deck recorded
 * itself it says nothing and is not judged.
 */
export function judge(reading: DeckReading, set: LimitSet): Verdict {
  const judgements: Judgement[] = [];
  const notMeasured: JudgedQuantity[] = [];
  for (const { quantity, good, poor = good } of set.limits) {
    const value = judgedValue(reading, quantity);
    if (value === undefined) {
      notMeasured.push(quantity);
      continue;
    }
    const grade = value <= good ? "good" : value <= poor ? "fair" : "poor";
    judgements.push({ quantity, value, unit: units[quantity], good, poor, grade });
  }
  const order: readonly Grade[] = ["poor", "fair", "good"];
  const grade = order.find((wanted) => judgements.some((judged) => judged.grade === wanted));
  return { set, judgements, notMeasured, grade };
}

function judgedValue(reading: DeckReading, quantity: JudgedQuantity): number | undefined {
  const { flutter, speed, azimuth } = reading;
  switch (quantity) {
    case "speed-error":
      if (reading.isOwnRecording) return undefined;
      return 100 * Math.max(...[speed.startRatio, speed.middleRatio, speed.endRatio].map(Math.abs));
    case "flutter-weighted-peak":
      return flutter === undefined ? undefined : 100 * flutter.weightedPeakRatio;
    case "flutter-weighted-rms":
      return flutter === undefined ? undefined : 100 * flutter.weightedRmsRatio;
    case "dropouts-per-minute": {
      const minutes = (reading.toneEndSeconds - reading.toneStartSeconds) / 60;
      return minutes * 60 < 20 ? undefined : reading.dropouts.length / minutes;
    }
    case "level-spread":
      return reading.level.spreadDecibel;
    case "channel-balance":
      return azimuth === undefined || azimuth.isSameSignal ? undefined : Math.abs(azimuth.balanceDecibel);
    case "azimuth":
      return azimuth?.tilt === undefined ? undefined : Math.abs(azimuth.tilt.minutes);
  }
}
