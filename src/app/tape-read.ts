import type { Parsed, Problem } from "../core/base/problem.js";
import type { ByteStream } from "../core/signal/byte-stream.js";
import { blockBytes, doubtfulAbove, findBlocks, type TapeBlock } from "../core/tape/blocks.js";
import { combineTapes } from "../core/tape/combine.js";
import { type ReadTape, readTape, type TapeProgress } from "../core/tape/read-tape.js";
import type { TapeScheme } from "../core/tape/scheme.js";
import { openAudio } from "./audio/open-audio.js";

/** A recording, or several takes of one tape together, as bytes. */
export interface TapeReading extends Omit<ReadTape, "channels"> {
  readonly scheme: TapeScheme;
  /** Names of the takes, in the order in which bytes name them. */
  readonly takes: readonly string[];
  readonly channels: readonly string[];
}

/**
 * Reads a recording of any kind that is read. Without a value the file is no recording; with one, `problems` holds what
 * was wrong with it, and what could be read is there. A recording without a single byte has no value either.
 * Codes: those of `openAudio`, `tape-silent`, `tape-nothing`.
 */
export async function readRecording(
  stream: ByteStream,
  scheme: TapeScheme,
  onProgress?: TapeProgress,
): Promise<Parsed<TapeReading>> {
  const opened = await openAudio(stream);
  if (opened.value === undefined) return { problems: opened.problems };
  const source = opened.value;
  const read = await readTape(source, scheme, onProgress);
  const problems = [...new Set([...opened.problems, ...source.problems])];
  if (read.blocks.length === 0) return { problems: [...problems, nothingFound(stream.file, read, scheme)] };
  const { channels, ...rest } = read;
  return { value: { ...rest, scheme, takes: [stream.file], channels: [channels] }, problems };
}

/** Reads takes of one tape and puts them together. A take in which nothing is found is left out, with its problem. */
export async function combineRecordings(
  streams: readonly ByteStream[],
  scheme: TapeScheme,
  onProgress?: TapeProgress,
): Promise<Parsed<TapeReading>> {
  const problems: Problem[] = [];
  const readings: TapeReading[] = [];
  let done = 0;
  for (const stream of streams) {
    const { value, problems: found } = await readRecording(stream, scheme, (seconds) =>
      onProgress?.(done + seconds),
    );
    problems.push(...found);
    if (value === undefined) continue;
    readings.push(value);
    done += value.secondsOfAudio;
  }
  if (readings.length === 0) return { problems };
  const tape = combineTapes(readings.map((reading) => reading.tape));
  return {
    value: {
      tape,
      blocks: findBlocks(tape, scheme.block),
      scheme,
      secondsOfAudio: done,
      peak: Math.max(...readings.map(({ peak }) => peak)),
      clippedShare: Math.max(...readings.map(({ clippedShare }) => clippedShare)),
      takes: readings.flatMap(({ takes }) => takes),
      channels: readings.flatMap(({ channels }) => channels),
    },
    problems: problems.map((problem): Problem => ({ ...problem, severity: "warning" })),
  };
}

function nothingFound(file: string, read: ReadTape, scheme: TapeScheme): Problem {
  if (read.secondsOfAudio === 0 || read.peak < 1e-4) {
    return {
      code: "tape-silent",
      severity: "error",
      message:
        read.secondsOfAudio === 0 ? "The recording holds no sound at all." : "The recording is silent.",
      where: { file },
      hint: "Check the lead and the level, and record it again.",
    };
  }
  return {
    code: "tape-nothing",
    severity: "error",
    message: `Nothing in these ${Math.round(read.secondsOfAudio)} seconds can be read as ${scheme.title}.`,
    where: { file },
    hint: "It may be another scheme, or no data at all: 'boardwake tape learn' looks at what is there.",
  };
}

/** Bytes of all blocks, one block after the other; with `isRepaired` offered repairs are made. */
export function readingBytes({ tape, blocks }: TapeReading, isRepaired: boolean): Uint8Array {
  const parts = blocks.map((block) => blockBytes(tape, block, { isRepaired }));
  const bytes = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return bytes;
}

/** A byte of a block counts as doubtful if it was not heard well and no check value speaks for it. */
export function isDoubtful({ tape }: TapeReading, block: TapeBlock, index: number): boolean {
  return block.check !== "good" && tape.doubt(index) > doubtfulAbove;
}

/** True if every byte is there and none is in doubt. */
export function isClean(reading: TapeReading): boolean {
  return reading.blocks.every((block) => {
    if (block.check === "bad" || block.check === "cut") return false;
    for (let i = block.bodyStart; i < block.bodyEnd; i += 1) if (isDoubtful(reading, block, i)) return false;
    return true;
  });
}
