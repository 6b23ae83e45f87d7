import { CrossingFinder } from "../signal/crossings.js";
import { PulseFilter } from "../signal/pulse-filter.js";
import { WorkingRate } from "../signal/working-rate.js";
import { buildAutomaton, type PulseAutomaton } from "./pulse-automaton.js";
import { type FoundPulse, findPulses, widthCost } from "./pulse-path.js";
import { speedScales } from "./pulse-scale.js";
import type { TapeScheme } from "./scheme.js";
import type { SoftByte } from "./soft-byte.js";

const reachRatio = 0.25;
/** Fewest crossings of a run that are looked at: less is a click. */
const fewestCrossings = 24;
/** Crossings after which a run is worked on although it goes on. */
const mostCrossings = 1 << 19;
/** Usual scatter of the logarithm of a pulse's length. */
const leastScatter = 0.04;
const mostScatter = 0.12;
/** Cost of a crossing that must have been lost or added if a bit of other pulses was meant. */
const otherCrossings = 7;
/** A byte in which crossings had to be added or passed over has this doubt. */
const patchedDoubt = 0;
/** After a patch nothing tells where bytes begin if they have no bits of framing. */
const slippedDoubt = -1.5;

/** Decodes schemes of pulses and of phase, run by run: push samples, take bytes. */
export class PulseDecoder {
  private readonly automaton: PulseAutomaton;
  private readonly rate: WorkingRate;
  private readonly filter: PulseFilter;
  private readonly finder = new CrossingFinder();
  private readonly longestGap: number;
  private positions = new Float64Array(4096);
  private peaks = new Float32Array(4096);
  private count = 0;
  private readonly bytes: SoftByte[] = [];
  private readonly scheme: TapeScheme;

  constructor(scheme: TapeScheme, sampleRateHz: number) {
    this.scheme = scheme;
    this.automaton = buildAutomaton(scheme);
    const { seconds, crossings } = this.automaton;
    const shortest = Math.min(...seconds) / crossings;
    const longest = Math.max(...seconds);
    // Some six samples to the shortest half-wave, so that crossings between samples are found well.
    this.rate = new WorkingRate(sampleRateHz, {
      lowestHz: 0,
      highestHz: Math.min(0.38 * sampleRateHz, 2.4 / shortest),
    });
    this.filter = new PulseFilter(shortest * this.rate.rateHz, (longest * this.rate.rateHz) / crossings);
    this.longestGap = 4 * longest * this.rate.rateHz;
  }

  push(samples: Float32Array): void {
    this.listen(this.filter.push(this.rate.push(samples)));
  }

  finish(): void {
    this.listen(this.filter.push(this.rate.finish()));
    this.listen(this.filter.finish());
    this.endRun();
  }

  take(): SoftByte[] {
    return this.bytes.splice(0);
  }

  private listen(samples: Float32Array): void {
    this.finder.push(samples, (position, peak) => {
      const last = this.positions[this.count - 1];
      if (last !== undefined && this.count > 0 && position - last > this.longestGap) this.endRun();
      if (this.count >= mostCrossings) this.endRun();
      if (this.count === this.positions.length) this.grow();
      this.positions[this.count] = position;
      this.peaks[this.count] = peak;
      this.count += 1;
    });
  }

  private grow(): void {
    const positions = new Float64Array(2 * this.count);
    positions.set(this.positions);
    this.positions = positions;
    const peaks = new Float32Array(2 * this.count);
    peaks.set(this.peaks);
    this.peaks = peaks;
  }

  private endRun(): void {
    const { count } = this;
    this.count = 0;
    if (count < fewestCrossings) return;
    const { automaton } = this;
    const samplesPerSecond = this.rate.rateHz;
    const positions = evened(this.positions.slice(0, count), automaton.crossings);
    const lengths = { ...automaton, samples: automaton.seconds.map((s) => s * samplesPerSecond) };
    const scales = speedScales(positions, lengths, reachRatio);
    const scatter = scatterOf(positions, scales, lengths);
    const pulses = findPulses(positions, scales, automaton, { samplesPerSecond, scatter });
    this.gather(pulses, positions, scales, scatter);
  }

  /** Puts the bits on the path together to bytes. */
  private gather(pulses: FoundPulse[], positions: Float64Array, scales: Float32Array, scatter: number): void {
    const { automaton } = this;
    const rateHz = this.rate.rateHz;
    const usual = median(this.peaks.subarray(0, positions.length));
    let open: OpenByte | undefined;
    let beginsRun = true;
    let hasSlipped = false;
    for (let p = 0; p < pulses.length; p += 1) {
      const pulse = pulses[p];
      if (pulse === undefined) continue;
      const { edge } = pulse;
      if (edge.place < 0) {
        if (pulse.isPatched && open !== undefined) open.patches += 1;
        // Back in the leader: the next byte is the first of a run.
        if (edge.to === automaton.start) {
          beginsRun = true;
          hasSlipped = false;
          open = undefined;
        }
        continue;
      }
      if (edge.place === 0) open = { soft: new Array<number>(8).fill(0), patches: 0, from: pulse.from };
      if (open === undefined) continue;
      if (pulse.isPatched) open.patches += 1;
      const bit = automaton.bitPlaces[edge.place] ?? -1;
      const level = this.levelAt(pulse.from, pulse.to) / (usual + 1e-12);
      if (bit >= 0) open.soft[bit] = this.softBit(pulses, p, { positions, scales, scatter, level });
      if (edge.place !== automaton.bitPlaces.length - 1) continue;
      const last = this.lastPulse(pulses, p);
      if (open.patches > 0 && !automaton.isFramed) hasSlipped = true;
      const doubt = open.patches > 0 ? patchedDoubt : hasSlipped ? slippedDoubt : -40;
      this.bytes.push({
        soft: open.soft,
        frameDoubt: doubt,
        startSeconds: (positions[open.from] ?? 0) / rateHz,
        endSeconds: (positions[last.to] ?? 0) / rateHz,
        speedRatio: 1 / (scales[open.from] ?? 1),
        beginsRun,
      });
      beginsRun = false;
      open = undefined;
    }
  }

  /** The pulse that ends the bit which begins with pulse `p`. */
  private lastPulse(pulses: FoundPulse[], p: number): FoundPulse {
    let at = p;
    while (pulses[at + 1] !== undefined && isInside(pulses[at + 1], this.automaton)) at += 1;
    return (
      pulses[at] ?? {
        edge: { from: 0, to: 0, length: 0, prior: 0, place: 0, value: 0 },
        from: 0,
        to: 0,
        cost: 0,
        isPatched: true,
      }
    );
  }

  private levelAt(from: number, to: number): number {
    let least = Number.POSITIVE_INFINITY;
    for (let i = from + 1; i <= to; i += 1) least = Math.min(least, this.peaks[i] ?? 0);
    return Number.isFinite(least) ? least : 0;
  }

  /** Logarithm of how much likelier the bit that begins with pulse `p` is a 1 than a 0. */
  private softBit(
    pulses: FoundPulse[],
    p: number,
    heard: { positions: Float64Array; scales: Float32Array; scatter: number; level: number },
  ): number {
    const { positions, scales, scatter, level } = heard;
    const { signal } = this.scheme;
    const pulse = pulses[p];
    if (pulse === undefined) return 0;
    const { value } = pulse.edge;
    const scale = (scales[pulse.from] ?? 1) * this.rate.rateHz;
    let advantage: number;
    const same = signal.kind === "pulses" && signal.zero.length === signal.one.length;
    if (same && signal.kind === "pulses") {
      const other = value === 0 ? signal.one : signal.zero;
      advantage = 0;
      other.forEach((name, k) => {
        const part = pulses[p + k];
        const micro = signal.lengths.find((length) => length.name === name)?.microseconds ?? 1;
        if (part === undefined) return;
        const width = (positions[part.to] ?? 0) - (positions[part.from] ?? 0);
        advantage += widthCost(width, micro * 1e-6 * scale, scatter) - part.cost;
      });
    } else {
      // Bits of different numbers of pulses: the other one would need a crossing that is not there, or one less.
      let cost = pulse.cost;
      for (let at = p + 1; isInside(pulses[at], this.automaton); at += 1) cost += pulses[at]?.cost ?? 0;
      advantage = otherCrossings + 3 - cost;
    }
    // In a hole of the recording crossings are chance.
    const trust = Math.min(1, (level / 0.35) ** 2);
    const size = Math.max(0.05, advantage) * trust;
    return value === 1 ? size : -size;
  }
}

interface OpenByte {
  readonly soft: number[];
  patches: number;
  readonly from: number;
}

/** True for a pulse that goes on with a bit which another one began. */
function isInside(pulse: FoundPulse | undefined, automaton: PulseAutomaton): boolean {
  return (
    pulse !== undefined &&
    pulse.edge.place < 0 &&
    pulse.edge.from !== automaton.start &&
    pulse.edge.to !== automaton.start
  );
}

/**
 * Half-waves of one direction that are all longer than those of the other come from an offset or from a clipped half:
 * crossings of one direction are moved by half the mean difference.
 */
function evened(positions: Float64Array, crossings: 1 | 2): Float64Array {
  if (crossings === 2 || positions.length < 64) return positions;
  const differences: number[] = [];
  for (let i = 1; i + 1 < positions.length; i += 2) {
    const before = (positions[i] ?? 0) - (positions[i - 1] ?? 0);
    const after = (positions[i + 1] ?? 0) - (positions[i] ?? 0);
    if (Math.max(before, after) < 1.45 * Math.min(before, after)) differences.push((before - after) / 2);
  }
  if (differences.length < 16) return positions;
  const move = median(Float32Array.from(differences));
  return positions.map((position, i) => (i % 2 === 1 ? position - move : position));
}

/** Scatter of the logarithms of the pulses' lengths, from the middle half of them. */
function scatterOf(
  positions: Float64Array,
  scales: Float32Array,
  { samples, crossings }: { readonly samples: readonly number[]; readonly crossings: 1 | 2 },
): number {
  const distances: number[] = [];
  for (let i = 0; i + crossings < positions.length && distances.length < 20000; i += crossings) {
    const width = (positions[i + crossings] ?? 0) - (positions[i] ?? 0);
    let best = 9;
    for (const length of samples)
      best = Math.min(best, Math.abs(Math.log(width / (length * (scales[i] ?? 1)))));
    distances.push(best);
  }
  // The median of the size of a normal variable is 0.6745 of its deviation.
  return Math.max(leastScatter, Math.min(mostScatter, median(Float32Array.from(distances)) / 0.6745));
}

function median(values: Float32Array): number {
  const sorted = values.slice().sort();
  return sorted[sorted.length >> 1] ?? 0;
}
