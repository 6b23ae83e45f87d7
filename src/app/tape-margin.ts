import { createRandom } from "../core/base/random.js";
import { marginRecording, type TapeMargins, tapeMargins } from "../core/tape/margin.js";
import type { TapeScheme } from "../core/tape/scheme.js";
import { usage } from "./usage.js";

/** Sample rate of the recording that a margin check makes. */
export const marginRateHz = 44100;
const marginBytes = 64;

/**
 * How far speed, level, noise and threshold may drift, each alone, before the loader that a scheme describes makes a
 * mistake on a recording of 64 bytes. Throws `usage` if the scheme describes no such loader.
 */
export function schemeMargins(scheme: TapeScheme, seed: number): TapeMargins {
  if (scheme.loader === undefined || scheme.signal.kind === "phase")
    throw usage(`The scheme '${scheme.id}' describes no loader with a threshold; add 'loader' to its file.`);
  const random = createRandom(seed);
  const bytes = Uint8Array.from({ length: marginBytes }, () => random.below(256));
  const samples = marginRecording({ ...withoutBlock(scheme) }, bytes, marginRateHz);
  const margins = tapeMargins(scheme, bytes, { samples, sampleRateHz: marginRateHz }, seed);
  if (margins === undefined)
    throw usage(
      `The loader that the scheme '${scheme.id}' describes cannot read a clean recording; check its threshold.`,
    );
  return margins;
}

/** The loader is judged by bytes alone. */
function withoutBlock({ block: _, ...scheme }: TapeScheme): TapeScheme {
  return scheme;
}
