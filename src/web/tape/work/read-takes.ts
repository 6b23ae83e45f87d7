import type { Problem } from "../../../core/base/problem.js";
import { doubtfulAbove, findBlocks, type TapeBlock } from "../../../core/tape/blocks.js";
import { combineTapes } from "../../../core/tape/combine.js";
import { meanSpeedErrorPercent, readTape } from "../../../core/tape/read-tape.js";
import { framePattern, type TapeScheme } from "../../../core/tape/scheme.js";
import { alternatives, type SoftTape } from "../../../core/tape/soft-byte.js";
import type { SampleStore } from "../signal/sample-store.js";
import { type ByteTimes, onOneTimeline } from "./one-timeline.js";
import type { CheckResult, ReadBlock, Reading } from "./reading.js";
import type { Step } from "./step.js";

const checks: Readonly<Record<TapeBlock["check"], CheckResult>> = {
  good: "right",
  bad: "wrong",
  cut: "cut",
  none: "none",
};

/** Reads one recording, or several of the same tape, which are then put together. */
export async function readTakes(
  stores: readonly SampleStore[],
  scheme: TapeScheme,
  step: Step,
): Promise<Reading> {
  const tapes: SoftTape[] = [];
  let secondsOfAudio = 0;
  const channels: string[] = [];
  let peak = 0;
  let clippedShare = 0;
  for (const [number, store] of stores.entries()) {
    const source = store.source((share) => step((number + share) / stores.length));
    const read = await readTape(source, scheme);
    tapes.push(read.tape);
    secondsOfAudio += read.secondsOfAudio;
    channels.push(read.channels);
    peak = Math.max(peak, read.peak);
    clippedShare = Math.max(clippedShare, read.clippedShare);
  }
  await step(1);
  const [only] = tapes;
  const isOne = tapes.length === 1;
  const tape = isOne && only !== undefined ? only : combineTapes(tapes);
  const blocks = findBlocks(tape, scheme.block);
  const described = describe(tape, blocks, { scheme, secondsOfAudio, isOne, takes: stores.length });
  return { ...described, channels, peak, clippedShare };
}

function describe(
  tape: SoftTape,
  blocks: readonly TapeBlock[],
  {
    scheme,
    secondsOfAudio,
    isOne,
    takes,
  }: {
    readonly scheme: TapeScheme;
    readonly secondsOfAudio: number;
    readonly isOne: boolean;
    readonly takes: number;
  },
): Omit<Reading, "channels" | "peak" | "clippedShare"> {
  // What lies outside all blocks is noise that looked like bytes here and there.
  const places = blocks.flatMap(({ firstByte, lastByte }) =>
    Array.from({ length: lastByte - firstByte }, (_, i) => firstByte + i),
  );
  const source = Uint8Array.from(places, (i) => (isOne ? 0 : (tape.source(i) ?? 0)));
  const timeline = loudest(source, takes);
  const { startSeconds, endSeconds } = onOneTimeline(
    {
      startSeconds: Float64Array.from(places, (i) => tape.startSeconds(i)),
      endSeconds: Float64Array.from(places, (i) => tape.endSeconds(i)),
    },
    source,
    timeline,
  );
  const confidence = Float32Array.from(places, (i) => 1 - tape.doubt(i));
  const other = new Int16Array(places.length).fill(-1);
  const otherChance = new Float32Array(places.length);
  const doubtful = new Uint8Array(places.length);
  // A check value that came out right speaks for all bytes of its block.
  const isChecked = blocks.flatMap(({ firstByte, lastByte, check }) =>
    Array.from({ length: lastByte - firstByte }, () => check === "good"),
  );
  for (const [at, i] of places.entries()) {
    if (isChecked[at] === true || tape.doubt(i) <= doubtfulAbove) continue;
    doubtful[at] = 1;
    const [next] = alternatives(tape, i, 1);
    if (next === undefined) continue;
    other[at] = next.value;
    otherChance[at] = next.probability;
  }
  let first = 0;
  const listed = blocks.map((block) => {
    const own = blockOf(block, first, { startSeconds, endSeconds });
    first = own.to;
    return own;
  });
  return {
    schemeId: scheme.id,
    schemeTitle: scheme.title,
    bytes: Uint8Array.from(places, (i) => tape.value(i)),
    startSeconds,
    endSeconds,
    doubtful,
    confidence,
    other,
    otherChance,
    source,
    speedRatio: Float32Array.from(places, (i) => tape.speedRatio(i)),
    pattern: framePattern(scheme).map((bit) => (bit === -10 && scheme.frame.parity === "odd" ? -11 : bit)),
    bitLengths: bitLengths(scheme),
    blocks: listed,
    timeline,
    speedErrorPercent: meanSpeedErrorPercent(tape),
    secondsOfAudio,
    problems: blocks.length === 0 ? [nothingRead(scheme, secondsOfAudio)] : [],
  };
}

/** A block whose first byte is number `first` of the reading. */
function blockOf(block: TapeBlock, first: number, { startSeconds, endSeconds }: ByteTimes): ReadBlock {
  const { firstByte, lastByte, bodyStart, bodyEnd, fields, check, repair } = block;
  const shift = first - firstByte;
  return {
    from: first,
    to: lastByte + shift,
    startSeconds: startSeconds[first] ?? 0,
    endSeconds: endSeconds[lastByte + shift - 1] ?? 0,
    bodyFrom: bodyStart + shift,
    bodyTo: bodyEnd + shift,
    check: checks[check],
    repair:
      repair === undefined
        ? undefined
        : {
            byte: repair.byte + shift,
            value: repair.to,
            bitConfidence: repair.bitConfidence,
            rivals: repair.rivals,
          },
    fields,
  };
}

/** How long a 0 and a 1 last. */
function bitLengths({ signal }: TapeScheme): [number, number] {
  if (signal.kind !== "pulses") return [1, 1];
  const lengthOf = (names: readonly string[]): number =>
    names.reduce(
      (sum, name) => sum + (signal.lengths.find((length) => length.name === name)?.microseconds ?? 0),
      0,
    );
  return [lengthOf(signal.zero), lengthOf(signal.one)];
}

/** The take that gave most bytes: its time is that of the reading. */
function loudest(source: Uint8Array, takes: number): number {
  const counts = new Uint32Array(takes);
  for (const take of source) counts[take] = (counts[take] ?? 0) + 1;
  return counts.indexOf(Math.max(...counts));
}

function nothingRead(scheme: TapeScheme, seconds: number): Problem {
  return {
    code: "tape-nothing",
    severity: "error",
    message: `Nothing in these ${Math.round(seconds)} seconds can be read as ${scheme.title}.`,
    where: {},
    hint: "Choose another scheme, or have it learned from the recording.",
  };
}
