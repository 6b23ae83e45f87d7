import { medianOf } from "./statistics.js";
import type { PowerSpectrum } from "./tone-frames.js";

/** What is heard besides the tone, in decibels against it; a deck at rest would show the same against its last tone. */
export interface Noise {
  /** 50 or 60, whichever shows more. */
  readonly mainsHz: number;
  /** Mains frequency and its first four multiples together. */
  readonly humDecibel: number;
  /** All else between 20 Hz and 20 kHz, or half the sample rate, without the tone and its harmonics. Unweighted. */
  readonly noiseDecibel: number;
  /** The tone's third harmonic, which grows with the level on the tape. */
  readonly thirdHarmonicDecibel: number;
}

const humHarmonics = 5;
/** Half the width of a line of hum, in bins of the window. */
const humBins = 2;
/** The skirts of a tone that flutters, as a share of its frequency. */
const toneSkirtRatio = 0.02;

/** Hum and noise of a stretch with a tone at `toneHz`; undefined if there is no power at the tone. */
export function measureNoise({ binHz, power }: PowerSpectrum, toneHz: number): Noise | undefined {
  const sum = (lowHz: number, highHz: number): number => {
    let total = 0;
    const last = Math.min(power.length - 1, Math.round(highHz / binHz));
    for (let k = Math.max(1, Math.round(lowHz / binHz)); k <= last; k += 1) total += power[k] ?? 0;
    return total;
  };
  const skirt = (hz: number): readonly [number, number] => [
    hz * (1 - toneSkirtRatio),
    hz * (1 + toneSkirtRatio),
  ];
  const tone = sum(...skirt(toneHz));
  if (!(tone > 0)) return undefined;
  const hum = (mainsHz: number): number => {
    let total = 0;
    for (let n = 1; n <= humHarmonics; n += 1) {
      total += sum(n * mainsHz - humBins * binHz, n * mainsHz + humBins * binHz);
    }
    return total;
  };
  const [fifty, sixty] = [hum(50), hum(60)];
  const topHz = Math.min(20_000, binHz * (power.length - 1));
  let rest = sum(20, topHz) - Math.max(fifty, sixty);
  let leftOutHz = 0;
  for (let n = 1; n * toneHz * (1 + toneSkirtRatio) < topHz; n += 1) {
    rest -= sum(...skirt(n * toneHz));
    leftOutHz += 2 * toneSkirtRatio * n * toneHz;
  }
  // What lies under the tone and its harmonics is taken to be as strong as what lies beside them.
  rest *= (topHz - 20) / (topHz - 20 - leftOutHz);
  const decibel = (value: number): number =>
    Math.max(-200, 10 * Math.log10(Math.max(value, 0) / tone + 1e-20));
  return {
    mainsHz: sixty > fifty ? 60 : 50,
    humDecibel: decibel(Math.max(fifty, sixty)),
    noiseDecibel: decibel(rest),
    thirdHarmonicDecibel: decibel(sum(...skirt(3 * toneHz))),
  };
}

/** Medians of many stretches, which a dropout or a click in a few of them does not touch; undefined for none. */
export function usualNoise(noises: readonly Noise[]): Noise | undefined {
  if (noises.length === 0) return undefined;
  const middle = (of: (noise: Noise) => number): number => medianOf(noises.map(of));
  return {
    mainsHz: middle(({ mainsHz }) => mainsHz),
    humDecibel: middle(({ humDecibel }) => humDecibel),
    noiseDecibel: middle(({ noiseDecibel }) => noiseDecibel),
    thirdHarmonicDecibel: middle(({ thirdHarmonicDecibel }) => thirdHarmonicDecibel),
  };
}
