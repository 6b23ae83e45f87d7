import type { Problem } from "../base/problem.js";

/** A stretch of sound: one array of samples a channel, all of one length; full scale is ±1, and floats may go beyond. */
export interface AudioBlock {
  /** Channel 0 is left or the only one. Whoever receives the block may keep the arrays; nobody writes into them. */
  readonly channels: readonly Float32Array[];
}

/** A recording that is read in order, once, a block at a time, so that an hour of it never stands in memory. */
export interface AudioSource {
  readonly sampleRateHz: number;
  /** 1 or more; every block holds as many. */
  readonly channelCount: number;
  /** Length of the recording if the file states it; what the blocks hold counts. */
  readonly totalSeconds?: number;
  /** Blocks of any length, 0 samples included. */
  readonly blocks: AsyncIterable<AudioBlock>;
  /** What was found wrong so far; grows while blocks are read. A cut-off file ends early and says so here. */
  readonly problems: readonly Problem[];
}

/** Samples of a block a source in memory is cut into. */
const blockSamples = 65536;

/**
 * A recording that is in memory already. Throws `RangeError` unless `sampleRateHz` is positive and finite and the
 * channels, at least one, have one length.
 */
export function audioOf(channels: readonly Float32Array[], sampleRateHz: number): AudioSource {
  if (!(sampleRateHz > 0 && Number.isFinite(sampleRateHz))) {
    throw new RangeError(`sampleRateHz must be positive and finite, got ${sampleRateHz}`);
  }
  const [first] = channels;
  if (first === undefined) throw new RangeError("a recording has at least one channel, got 0");
  const { length } = first;
  for (const channel of channels) {
    if (channel.length !== length) {
      throw new RangeError(`channels must have one length, got ${length} and ${channel.length}`);
    }
  }
  return {
    sampleRateHz,
    channelCount: channels.length,
    totalSeconds: length / sampleRateHz,
    blocks: cut(channels, length),
    problems: [],
  };
}

async function* cut(channels: readonly Float32Array[], length: number): AsyncGenerator<AudioBlock> {
  for (let start = 0; start < length; start += blockSamples) {
    yield { channels: channels.map((channel) => channel.subarray(start, start + blockSamples)) };
  }
}
