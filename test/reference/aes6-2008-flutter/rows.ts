import { readFileSync } from "node:fs";
import { z } from "zod";
import { createRandom } from "../../../src/core/base/random.js";
import { azimuthLossDecibel, wavelengthMillimetres } from "../../../src/core/deck/azimuth.js";
import { measureDeck } from "../../../src/core/deck/meter.js";
import type { DeckReading } from "../../../src/core/deck/reading.js";
import { turnsPerSecond } from "../../../src/core/deck/rotation.js";
import { SizeTally } from "../../../src/core/deck/size-tally.js";
import { speedErrorRatio } from "../../../src/core/deck/speed.js";
import { type FlutterPart, renderTones } from "../../../src/core/deck/test-tone.js";
import { weightingGain } from "../../../src/core/deck/weighting.js";
import { audioOf } from "../../../src/core/signal/samples.js";
import { halfLastPlace, type ReferenceRow } from "../support/check.js";

const numbers = z.array(z.number());
const data = z
  .strictObject({
    weighting: z.strictObject({
      hz: numbers,
      decibel: numbers,
      toleranceAboveDecibel: numbers,
      toleranceBelowDecibel: numbers,
    }),
    depthPercent: z.number(),
    weightedPeakPercent: numbers,
    twoSigmaOfSine: z.number(),
    twoSigmaOfNormal: z.number(),
    composite: z.strictObject({
      hz: numbers,
      depthPercent: z.number(),
      weightedRmsPercent: z.number(),
      weightedPeakAtMostPercent: z.number(),
    }),
    speed: z.array(z.tuple([z.number(), z.number(), z.number()])),
    turns: z.array(z.tuple([z.string(), z.number(), z.number()])),
    turnsSpeedMetresPerSecond: z.number(),
    wavelengths: z.array(z.tuple([z.number(), z.number()])),
    azimuthAnglesMinutes: numbers,
    azimuthLoss: z.array(z.strictObject({ trackMillimetres: z.number(), hz: z.number(), decibel: numbers })),
    azimuthSpeedMetresPerSecond: z.number(),
  })
  .parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));

/** The composite flutter's greatest weighted peak that is allowed, in per cent. */
export const compositePeakAtMost = data.composite.weightedPeakAtMostPercent;

/** The weighting curve, end-to-end readings, statistics, speed and geometry. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  return [
    ...curveRows(),
    ...(await readingRows()),
    ...statisticRows(),
    await compositeRow(),
    ...geometryRows(),
    ...azimuthRows(),
  ];
}

/** A row holds one tolerance, so the narrower of the two of the table is asked. */
function tolerance(i: number): number {
  const { toleranceAboveDecibel, toleranceBelowDecibel } = data.weighting;
  return Math.min(toleranceAboveDecibel[i] ?? 0, toleranceBelowDecibel[i] ?? 0);
}

function curveRows(): ReferenceRow[] {
  return data.weighting.hz.map((hz, i) => ({
    quantity: `weighting at ${hz} Hz, dB`,
    published: data.weighting.decibel[i] ?? Number.NaN,
    ours: 20 * Math.log10(weightingGain(hz)),
    tolerance: tolerance(i),
    tag: "published",
  }));
}

/** The reading of 30 seconds of a 3150 Hz tone with the given flutter. */
export async function readingOf(flutter: readonly FlutterPart[]): Promise<DeckReading> {
  const rateHz = 16000;
  const samples = renderTones([{ hz: 3150, seconds: 30, levelDecibel: -6 }], rateHz, { flutter });
  const { value, problems } = await measureDeck(audioOf([samples], rateHz));
  if (value === undefined) throw new Error(problems.map(({ message }) => message).join(" "));
  return value;
}

async function readingRows(): Promise<ReferenceRow[]> {
  const rows: ReferenceRow[] = [];
  for (const [i, hz] of data.weighting.hz.entries()) {
    const { flutter } = await readingOf([{ hz, depthRatio: data.depthPercent / 100 }]);
    const published = data.weightedPeakPercent[i] ?? Number.NaN;
    const narrow = published * (10 ** (tolerance(i) / 20) - 1);
    rows.push({
      quantity: `reading of ${data.depthPercent} % at ${hz} Hz, weighted peak %`,
      published,
      ours: flutter === undefined ? null : 100 * flutter.weightedPeakRatio,
      tolerance: hz === 4 ? 0.03 * published : narrow,
      tag: "published",
    });
  }
  return rows;
}

function statisticRows(): ReferenceRow[] {
  const sine = new SizeTally();
  sine.add(Float32Array.from({ length: 100_000 }, (_, i) => Math.sin((2 * Math.PI * 37 * i) / 100_000)));
  const normal = new SizeTally();
  const random = createRandom(6);
  normal.add(
    Float32Array.from({ length: 400_000 }, () => {
      const size = Math.sqrt(-2 * Math.log(1 - random.next()));
      return size * Math.cos(2 * Math.PI * random.next());
    }),
  );
  return [
    {
      quantity: "two-sigma of a sine of amplitude 1",
      published: data.twoSigmaOfSine,
      ours: sine.twoSigma(),
      tolerance: 0.001,
      tag: "recomputed",
    },
    {
      quantity: "two-sigma of normal values over their deviation",
      published: data.twoSigmaOfNormal,
      ours: normal.twoSigma() / normal.rootMeanSquare(),
      tolerance: 0.01,
      tag: "recomputed",
    },
  ];
}

async function compositeRow(): Promise<ReferenceRow> {
  const { hz, depthPercent, weightedRmsPercent } = data.composite;
  const parts = hz.map((own, i) => ({ hz: own * (1 + i * 0.0137), depthRatio: depthPercent / 100 }));
  const { flutter } = await readingOf(parts);
  return {
    quantity: "1 Hz and 10 Hz of 0.1 % each, weighted rms %",
    published: weightedRmsPercent,
    ours: flutter === undefined ? null : 100 * flutter.weightedRmsRatio,
    tolerance: 0.001,
    tag: "recomputed",
  };
}

function geometryRows(): ReferenceRow[] {
  return [
    ...data.speed.map(
      ([tone, heard, percent]): ReferenceRow => ({
        quantity: `speed error of ${tone} Hz heard as ${heard} Hz, %`,
        published: percent,
        ours: 100 * speedErrorRatio(heard, tone),
        tolerance: halfLastPlace(2),
        tag: "recomputed",
      }),
    ),
    ...data.turns.map(
      ([name, millimetres, hz]): ReferenceRow => ({
        quantity: `turns a second of a ${name}`,
        published: hz,
        ours: turnsPerSecond(millimetres, data.turnsSpeedMetresPerSecond),
        tolerance: halfLastPlace(2),
        tag: "recomputed",
      }),
    ),
    ...data.wavelengths.map(
      ([hz, micrometres]): ReferenceRow => ({
        quantity: `wavelength of ${hz} Hz, µm`,
        published: micrometres,
        ours: 1000 * wavelengthMillimetres(hz, data.azimuthSpeedMetresPerSecond),
        tolerance: halfLastPlace(1),
        tag: "recomputed",
      }),
    ),
  ];
}

function azimuthRows(): ReferenceRow[] {
  return data.azimuthLoss.flatMap(({ trackMillimetres, hz, decibel }) =>
    decibel.map((published, i): ReferenceRow => {
      const minutes = data.azimuthAnglesMinutes[i] ?? Number.NaN;
      const wave = wavelengthMillimetres(hz, data.azimuthSpeedMetresPerSecond);
      return {
        quantity: `azimuth loss of ${hz} Hz on ${trackMillimetres} mm at ${minutes}', dB`,
        published,
        ours: azimuthLossDecibel(trackMillimetres, wave, minutes),
        tolerance: Number.isInteger(published) ? 0.5 : published <= -4.4 ? 0.1 : halfLastPlace(2),
        tag: "recomputed",
      };
    }),
  );
}
