import type { TickList } from "./tick-list.js";

/** How loud the tones and the noise are, as sums over one bit. */
export interface ToneLevels {
  /** Size of the sum of the higher and of the lower tone over a bit that holds it. */
  readonly high: number;
  readonly low: number;
  /** Phase of these sums. */
  readonly highPhase: number;
  readonly lowPhase: number;
  /** Variance of one component of the sum of a tone that is not there. */
  readonly noise: number;
  /** Mean of what neither tone explains of a bit, on the scale of `noise`: noise, clipping, tones smeared into each other. */
  readonly left: number;
}

/** The sums of both tones over a bit that begins at a tick. */
export interface BitSums {
  highRe: number;
  highIm: number;
  lowRe: number;
  lowIm: number;
  energy: number;
}

/** How sharply the phase of a bit is expected at its place: concentration of a von Mises distribution. */
const phaseConcentration = 8;

/** Largest energy of a bit over the noise that is believed, however clean a recording looks. */
const largestRatio = 400;

/** What the tones leave of a bit may be this many times the usual before the bit counts as damaged, and then counts so much. */
const usualExcess = 4;
const excessWeight = 0.3;

/** What neither tone explains of a bit, as the noise that would leave so much. */
export function unexplained({ highRe, highIm, lowRe, lowIm, energy }: BitSums, bitTicks: number): number {
  const explained =
    Math.max(highRe * highRe + highIm * highIm, lowRe * lowRe + lowIm * lowIm) / (2 * bitTicks);
  return (Math.max(0, energy - explained) * 2 * bitTicks) / (4 * bitTicks - 2);
}

/** Sums of both tones over the bit of `bitTicks` (even) ticks from `tick` on, into `sums`. */
export function sumBit(ticks: TickList, tick: number, bitTicks: number, sums: BitSums): void {
  sums.highRe = sums.highIm = sums.lowRe = sums.lowIm = sums.energy = 0;
  const from = tick - ticks.start;
  for (let at = from; at < from + bitTicks; at += 1) {
    sums.highRe += ticks.highRe[at] ?? 0;
    sums.highIm += ticks.highIm[at] ?? 0;
    sums.energy += ticks.energy[at] ?? 0;
  }
  for (let at = from; at < from + bitTicks; at += 2) {
    sums.lowRe += ticks.lowRe[at] ?? 0;
    sums.lowIm += ticks.lowIm[at] ?? 0;
  }
}

/**
 * The receiver of one bit: how likely each tone is. The phase is expected but not taken for sure, which lies between
 * the coherent and the non-coherent receiver: J. G. Proakis, Digital Communications, the sections on optimum receivers
 * for signals with random phase; from memory.
 */
export class ToneReceiver {
  readonly levels: ToneLevels;
  private readonly noise: number;
  /** Where each tone is expected, as if heard before. */
  private readonly expectedHighRe: number;
  private readonly expectedHighIm: number;
  private readonly expectedLowRe: number;
  private readonly expectedLowIm: number;
  private readonly bitTicks: number;

  constructor(levels: ToneLevels, bitTicks: number) {
    this.levels = levels;
    const { high, low, highPhase, lowPhase } = levels;
    const largest = Math.max(high, low, 1e-12);
    this.noise = Math.max(levels.noise, (largest * largest) / (2 * largestRatio));
    this.expectedHighRe = phaseConcentration * Math.cos(highPhase);
    this.expectedHighIm = phaseConcentration * Math.sin(highPhase);
    this.expectedLowRe = phaseConcentration * Math.cos(lowPhase);
    this.expectedLowIm = phaseConcentration * Math.sin(lowPhase);
    this.bitTicks = bitTicks;
  }

  /**
   * Logarithm of how much likelier the higher tone is than the lower one, given the sums over a bit and the share of
   * the usual level that is heard around it.
   */
  likelihood(sums: BitSums, levelShare: number): number {
    const { highRe, highIm, lowRe, lowIm } = sums;
    const { high, low } = this.levels;
    // A fragment of a tone, at the edge of a hole, leaves much more unexplained than bits of this recording do.
    const left = unexplained(sums, this.bitTicks);
    const noise = this.noise + excessWeight * Math.max(0, left - usualExcess * this.levels.left);
    const highGain = (levelShare * high) / noise;
    const lowGain = (levelShare * low) / noise;
    const hx = this.expectedHighRe + highGain * highRe;
    const hy = this.expectedHighIm + highGain * highIm;
    const lx = this.expectedLowRe + lowGain * lowRe;
    const ly = this.expectedLowIm + lowGain * lowIm;
    return (
      logBesselRatio(Math.sqrt(hx * hx + hy * hy), Math.sqrt(lx * lx + ly * ly)) -
      (levelShare * levelShare * (high * high - low * low)) / (2 * noise)
    );
  }
}

/** ln I0(a) - ln I0(b), for a, b >= 0: by the asymptotic series where both are large enough for it. */
function logBesselRatio(a: number, b: number): number {
  if (a < 3.75 || b < 3.75) return logBessel(a) - logBessel(b);
  return a - b - 0.5 * Math.log(a / b) + 0.125 / a - 0.125 / b;
}

/** ln I0(x) for x >= 0. Source: M. Abramowitz, I. Stegun, Handbook of Mathematical Functions, 9.8.1 and 9.8.2. */
export function logBessel(x: number): number {
  if (x < 3.75) {
    const t = (x / 3.75) ** 2;
    const sum =
      1 +
      t * (3.5156229 + t * (3.0899424 + t * (1.2067492 + t * (0.2659732 + t * (0.0360768 + t * 0.0045813)))));
    return Math.log(sum);
  }
  const t = 3.75 / x;
  const sum =
    0.39894228 +
    t *
      (0.01328592 +
        t *
          (0.00225319 +
            t *
              (-0.00157565 +
                t *
                  (0.00916281 + t * (-0.02057706 + t * (0.02635537 + t * (-0.01647633 + t * 0.00392377)))))));
  return x - 0.5 * Math.log(x) + Math.log(sum);
}
