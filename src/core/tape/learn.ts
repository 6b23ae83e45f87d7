import { CrossingFinder } from "../signal/crossings.js";
import { PulseFilter } from "../signal/pulse-filter.js";
import { audioOf } from "../signal/samples.js";
import { guessCheck } from "./learn-check.js";
import { findPulseClasses, type PulseClass } from "./pulse-classes.js";
import { readTape } from "./read-tape.js";
import { type TapeScheme, tapeSchemeSchema } from "./scheme.js";

/** Something that was seen in a recording, and what it speaks for. */
export interface LearnEvidence {
  readonly what: string;
  /** From 0 to 1. */
  readonly confidence: number;
}

/** What was learned of an unknown recording. */
export interface LearnedTape {
  /** `data` if a scheme could be worked out; `unclear` if it looks like data but no scheme fits; `not-data` for the rest. */
  readonly verdict: "data" | "unclear" | "not-data";
  readonly classes: readonly PulseClass[];
  readonly evidence: readonly LearnEvidence[];
  /** A scheme to confirm and to save; absent unless the verdict is `data`. */
  readonly scheme?: TapeScheme;
  /** How well the scheme reads the recording: bytes, and share of them that is not doubtful. */
  readonly bytes?: number;
  readonly clearShare?: number;
}

/** Seconds of a recording that are looked at. */
export const learnSeconds = 90;

/**
 * Works out how an unknown recording keeps its bytes: the lengths of its half-waves fall into few classes or they do not
 * (speech and music do not); from the classes, from the leader and from what can follow what, candidate schemes are made;
 * each is tried on the recording, and the one that reads most without doubt is offered. Samples of one channel, at most
 * `learnSeconds` of them.
 */
export async function learnTape(samples: Float32Array, sampleRateHz: number): Promise<LearnedTape> {
  const widths = halfWaves(samples, sampleRateHz);
  const evidence: LearnEvidence[] = [];
  const { classes, inside } = findPulseClasses(widths);
  if (widths.length < 200) {
    const what = `Only ${widths.length} half-waves were found: there is hardly a signal.`;
    return { verdict: "not-data", classes, evidence: [{ what, confidence: 1 }] };
  }
  const sharp = `${Math.round(100 * inside)} % of the half-waves fall into ${classes.length} narrow classes`;
  if (inside < 0.7 || classes.length < 2 || classes.length > 5) {
    const what =
      classes.length === 1 && inside >= 0.7
        ? "Nearly all half-waves have one length: this is a tone, a leader without data, or hum."
        : `${sharp}; a data tape has most of them in two to five, speech and music spread them.`;
    return { verdict: "not-data", classes, evidence: [{ what, confidence: inside < 0.5 ? 0.95 : 0.7 }] };
  }
  const lengths = classes.map(({ microseconds }) => `${Math.round(microseconds)} µs`).join(", ");
  evidence.push({ what: `${sharp}: ${lengths}.`, confidence: inside });
  const candidates = candidateSchemes(classes, widths);
  let best: { scheme: TapeScheme; why: string; bytes: number; clear: number; score: number } | undefined;
  for (const { scheme, why, weight } of candidates) {
    const { tape } = await readTape(audioOf([samples], sampleRateHz), scheme);
    if (tape.length < 4) continue;
    let clear = 0;
    let runs = 0;
    for (let i = 0; i < tape.length; i += 1) {
      if (tape.doubt(i) < 0.02) clear += 1;
      if (tape.beginsRun(i)) runs += 1;
    }
    // A wrong scheme reads in fragments; framing bits that fit all along can hardly be chance.
    const share = clear / tape.length;
    const fixed = scheme.frame.startBits.length + scheme.frame.stopBits.length;
    const score =
      (weight * share * share * (1 + 0.2 * fixed)) / (1 + (20 * Math.max(0, runs - 1)) / tape.length);
    if (best === undefined || score > best.score)
      best = { scheme, why, bytes: tape.length, clear: share, score };
  }
  if (best === undefined || best.clear < 0.8) {
    evidence.push({ what: "No framing that was tried reads most of it without doubt.", confidence: 0.5 });
    return { verdict: "unclear", classes, evidence };
  }
  evidence.push({ what: best.why, confidence: best.clear });
  const withCheck = await addCheck(best.scheme, samples, sampleRateHz, evidence);
  return { verdict: "data", classes, evidence, scheme: withCheck, bytes: best.bytes, clearShare: best.clear };
}

async function addCheck(
  scheme: TapeScheme,
  samples: Float32Array,
  sampleRateHz: number,
  evidence: LearnEvidence[],
): Promise<TapeScheme> {
  const { tape, blocks } = await readTape(audioOf([samples], sampleRateHz), scheme);
  const runs = blocks.map(({ firstByte, lastByte }) =>
    Array.from({ length: lastByte - firstByte }, (_, i) => tape.value(firstByte + i)),
  );
  const guess = guessCheck(runs);
  if (guess === undefined) {
    evidence.push({ what: `No check value fits all of ${runs.length} blocks.`, confidence: 0.5 });
    return scheme;
  }
  evidence.push({ what: guess.why, confidence: guess.confidence });
  return tapeSchemeSchema.parse({ ...scheme, block: guess.block });
}

/** Lengths of the half-waves in microseconds. */
function halfWaves(samples: Float32Array, sampleRateHz: number): Float64Array {
  const filter = new PulseFilter(Math.max(2, sampleRateHz * 100e-6), sampleRateHz * 700e-6);
  const finder = new CrossingFinder();
  const widths: number[] = [];
  let last = -1;
  const give = (position: number): void => {
    const width = ((position - last) / sampleRateHz) * 1e6;
    if (last >= 0 && width < 5000) widths.push(width);
    last = position;
  };
  finder.push(filter.push(samples), give);
  finder.push(filter.finish(), give);
  return Float64Array.from(widths);
}

interface Candidate {
  readonly scheme: TapeScheme;
  readonly why: string;
  readonly weight: number;
}

/** Schemes that the classes allow. */
function candidateSchemes(classes: readonly PulseClass[], widths: Float64Array): Candidate[] {
  const byCount = [...classes].sort((a, b) => b.count - a.count || a.microseconds - b.microseconds);
  const pair = byCount.slice(0, 2).sort((a, b) => a.microseconds - b.microseconds);
  const [short, long] = pair;
  if (short === undefined || long === undefined) return [];
  const ratio = long.microseconds / short.microseconds;
  const list: Candidate[] = [];
  if (Math.abs(ratio - 2) < 0.3)
    list.push(
      ...toneCandidates(short, widths),
      ...halfWaveCandidates(short, long),
      ...phaseCandidates(short),
    );
  list.push(...cycleCandidates(classes, short, long, widths));
  return list;
}

const common = {
  $schema: "../schema/tape-scheme.json",
  formatVersion: 1,
  id: "learned",
  sources: [{ id: "own-recording", confidence: "estimate" }],
} as const;

function toneCandidates(short: PulseClass, widths: Float64Array): Candidate[] {
  // Half-waves of the lower tone come in runs whose shortest length is that of one bit.
  const border = short.microseconds * 1.4;
  const runs = new Map<number, number>();
  let run = 0;
  for (const width of widths) {
    if (width > border) run += 1;
    else if (run > 0) {
      runs.set(run, (runs.get(run) ?? 0) + 1);
      run = 0;
    }
  }
  const total = [...runs.values()].reduce((sum, count) => sum + count, 0);
  const usual = [...runs].filter(([, count]) => count > 0.05 * total).map(([length]) => length);
  const step = Math.min(...usual);
  if (!Number.isFinite(step) || step < 2) return [];
  const cyclesPerBit = 2 * Math.round(step / 2);
  const highHz = roundTo(5e5 / short.microseconds, 100);
  const why = `Low half-waves come in runs of ${cyclesPerBit} and multiples: tones of ${highHz} and ${highHz / 2} Hz, ${cyclesPerBit} cycles a bit.`;
  return [1, 0].flatMap((highBit) =>
    ["11", "1"].map((stop): Candidate => {
      const stopBits = highBit === 1 ? stop : stop.replaceAll("1", "0");
      const scheme = tapeSchemeSchema.parse({
        ...common,
        title: `Learned: tones of ${highHz} and ${highHz / 2} Hz`,
        signal: { kind: "tones", highHz, cyclesPerBit, highBit },
        leader: { seconds: 5 },
        frame: { startBits: highBit === 1 ? "0" : "1", order: "lowest-first", parity: "none", stopBits },
        loader: { thresholdMicroseconds: 1.5e6 / highHz, hysteresisRatio: 0.05 },
      });
      // Two stop bits are the stronger claim; a 1 as the higher tone is the usual way.
      return {
        scheme,
        why: `${why} Start bit and ${stopBits.length} stop bits fit.`,
        weight: (stop === "11" ? 1.02 : 1) * (highBit === 1 ? 1.01 : 1),
      };
    }),
  );
}

function halfWaveCandidates(short: PulseClass, long: PulseClass): Candidate[] {
  const frames = [
    { startBits: "1", stopBits: "0", leader: "long" },
    { startBits: "0", stopBits: "1", leader: "short" },
    { startBits: "0", stopBits: "11", leader: "short" },
  ];
  return frames.map(({ startBits, stopBits, leader }): Candidate => {
    const scheme = tapeSchemeSchema.parse({
      ...common,
      title: "Learned: biphase in two intervals",
      signal: {
        kind: "pulses",
        measure: "half-wave",
        lengths: [
          { name: "long", microseconds: Math.round(long.microseconds) },
          { name: "short", microseconds: Math.round(long.microseconds / 2) },
        ],
        zero: ["long"],
        one: ["short", "short"],
      },
      leader: { seconds: 3, pulse: leader },
      frame: { startBits, order: "lowest-first", parity: "none", stopBits },
    });
    const why = `One long half-wave or two short ones a bit (${Math.round(long.microseconds)} and ${Math.round(short.microseconds)} µs), start bit ${startBits}, stop bits ${stopBits}.`;
    return { scheme, why, weight: 0.95 };
  });
}

function phaseCandidates(short: PulseClass): Candidate[] {
  const bitMicroseconds = Math.round(2 * short.microseconds);
  return ([0, 1] as const).flatMap((bit) =>
    (["lowest-first", "highest-first"] as const).map((order): Candidate => {
      const scheme = tapeSchemeSchema.parse({
        ...common,
        title: "Learned: phase encoding",
        signal: { kind: "phase", bitMicroseconds, oneRises: true },
        leader: { seconds: 2, bit },
        syncBits: `${1 - bit}`,
        frame: { startBits: "", order, parity: "none", stopBits: "" },
      });
      const why = `Half-waves of half a bit and of a whole bit of ${bitMicroseconds} µs, always in pairs of short ones: phase encoding. That the leader is made of ${bit}s, and ${order}, is a guess.`;
      return { scheme, why, weight: (bit === 0 ? 1.2 : 1.19) * (order === "lowest-first" ? 1 : 0.99) };
    }),
  );
}

function cycleCandidates(
  classes: readonly PulseClass[],
  short: PulseClass,
  long: PulseClass,
  widths: Float64Array,
): Candidate[] {
  const leader = leaderClass(classes, widths) ?? long;
  const data = classes
    .filter((item) => item !== leader)
    .sort((a, b) => b.count - a.count)
    .slice(0, 2);
  const [a, b] = (
    data.length === 2 && leader.count < Math.max(short.count, long.count) * 4 ? data : [short, long]
  ).sort((x, y) => x.microseconds - y.microseconds);
  if (a === undefined || b === undefined) return [];
  const name = new Map<PulseClass, string>([
    [a, "short"],
    [b, "long"],
  ]);
  if (!name.has(leader)) name.set(leader, "leader");
  const sync = syncAfter(leader, [a, b], widths);
  if (sync.length > 0) {
    const mean = sync.reduce((sum, width) => sum + width, 0) / sync.length;
    name.set({ microseconds: mean, count: sync.length, scatter: 0 }, "sync");
  }
  const lengths = [...name].map(([item, key]) => ({
    name: key,
    microseconds: Math.round(2 * item.microseconds),
  }));
  const pulses = sync.length < 2 ? undefined : new Array<string>(Math.round(sync.length / 2)).fill("sync");
  return (["highest-first", "lowest-first"] as const).map((order): Candidate => {
    const scheme = tapeSchemeSchema.parse({
      ...common,
      title: "Learned: cycles of two lengths",
      signal: { kind: "pulses", measure: "cycle", lengths, zero: ["short"], one: ["long"] },
      leader: { seconds: 4, pulse: name.get(leader) },
      ...(pulses === undefined ? {} : { sync: pulses }),
      frame: { startBits: "", order, parity: "none", stopBits: "" },
    });
    const syncText = pulses === undefined ? "" : `, ${pulses.length} sync after the leader`;
    const why = `Cycles of ${lengths.map((item) => `${item.microseconds} µs (${item.name})`).join(", ")}${syncText}; which of the two is a 1, and which bit comes first, cannot be seen: taken as long = 1, ${order}.`;
    return { scheme, why, weight: order === "highest-first" ? 1.3 : 1.29 };
  });
}

/** The class of which the longest unbroken stretch is made. */
function leaderClass(classes: readonly PulseClass[], widths: Float64Array): PulseClass | undefined {
  let best: PulseClass | undefined;
  let longest = 0;
  for (const item of classes) {
    const { length } = longestStretch(item, widths);
    if (length > longest) {
      longest = length;
      best = item;
    }
  }
  return longest >= 64 ? best : undefined;
}

function longestStretch(
  item: PulseClass,
  widths: Float64Array,
): { readonly length: number; readonly end: number } {
  let run = 0;
  let found = { length: 0, end: 0 };
  widths.forEach((width, i) => {
    run = Math.abs(Math.log(width / item.microseconds)) < 0.12 ? run + 1 : 0;
    if (run > found.length) found = { length: run, end: i + 1 };
  });
  return found;
}

/** Half-waves straight after the leader, at most eight, that have the length of neither data pulse. */
function syncAfter(leader: PulseClass, data: readonly PulseClass[], widths: Float64Array): number[] {
  const { end } = longestStretch(leader, widths);
  const isData = (width: number): boolean =>
    [...data, leader].some(({ microseconds }) => Math.abs(Math.log(width / microseconds)) < 0.18);
  const sync: number[] = [];
  // The half-wave between leader and sync may have the length of neither.
  for (let i = end; i < Math.min(widths.length, end + 8); i += 1) {
    const width = widths[i] ?? 0;
    if (isData(width)) break;
    sync.push(width);
  }
  return sync;
}

function roundTo(value: number, step: number): number {
  return Math.max(step, Math.round(value / step) * step);
}
