import type { Parsed, Problem } from "../base/problem.js";
import { type ByteStream, ByteTaker } from "./byte-stream.js";
import type { AudioBlock, AudioSource } from "./samples.js";
import { readFormatChunk, type WavFormat } from "./wav-format.js";
import { decodeFrames } from "./wav-samples.js";

/** Frames of a block. */
const blockFrames = 16384;
/** Most chunks that are passed over in search of the samples. */
const maximumChunks = 10_000;
/** A length that a program writes which does not know it yet. */
const unknownLength = 0xffffffff;

/**
 * Opens a WAV file (RIFF, or RF64 and BW64 for more than 4 GB) and reads its header; the samples are read when the
 * blocks are asked for. Lengths in the header are never trusted to allocate by: what the file holds counts, and where
 * the two differ the source's problems say so. Without a value the problems say why.
 * Sources: as `readFormatChunk`; EBU Tech 3306, 2009 (RF64), from memory.
 * Codes: `wav-not-wave`, `wav-no-format`, `wav-no-samples`, `wav-length`, `wav-cut-off`, `wav-not-finite`, and those of
 * `readFormatChunk`.
 */
export async function readWav(stream: ByteStream): Promise<Parsed<AudioSource>> {
  const taker = new ByteTaker(stream);
  const opened = await openChunks(taker, stream);
  if (opened.data === undefined) {
    await taker.close();
    return { problems: opened.problems };
  }
  const { format } = opened.data;
  const problems: Problem[] = [...opened.problems];
  const { lengthBytes } = opened.data;
  const frameBytes = format.encoding.bytes * format.channelCount;
  const source: AudioSource = {
    sampleRateHz: format.sampleRateHz,
    channelCount: format.channelCount,
    ...(lengthBytes === undefined
      ? {}
      : { totalSeconds: Math.floor(lengthBytes / frameBytes) / format.sampleRateHz }),
    blocks: readBlocks(taker, stream.file, opened.data, problems),
    problems,
  };
  return { value: source, problems };
}

/** Where the samples begin: the taker stands on the first of them. */
interface DataChunk {
  readonly format: WavFormat;
  /** Bytes of samples that the file is known to hold; undefined if it is read to its end. */
  readonly lengthBytes: number | undefined;
  /** Bytes of samples that the header states; undefined if it states none that can be meant. */
  readonly statedBytes: number | undefined;
}

interface Opened {
  readonly data?: DataChunk;
  readonly problems: readonly Problem[];
}

async function openChunks(taker: ByteTaker, { file, sizeBytes }: ByteStream): Promise<Opened> {
  const head = await taker.take(12);
  const form = textOf(head, 0);
  if (head.length < 12 || !["RIFF", "RF64", "BW64"].includes(form) || textOf(head, 8) !== "WAVE") {
    return refuse("wav-not-wave", "This is no WAV file: it does not begin with RIFF … WAVE.", {
      file,
      byte: 0,
    });
  }
  let format: WavFormat | undefined;
  let longData: number | undefined;
  const problems: Problem[] = [];
  for (let count = 0; count < maximumChunks; count += 1) {
    const start = taker.offset;
    const header = await taker.take(8);
    if (header.length < 8) break;
    const id = textOf(header, 0);
    const length = uint32(header, 4);
    if (id === "data") {
      if (format === undefined) {
        const message = "The samples come before any description of their format.";
        return refuse("wav-no-format", message, { file, byte: start });
      }
      const stated = length === unknownLength && longData !== undefined ? longData : length;
      const data = await measureData(taker, stated, sizeBytes);
      if (data.flaw !== undefined) problems.push(lengthFlaw(file, start + 4, data.flaw));
      const { lengthBytes, statedBytes } = data;
      return { data: { format, lengthBytes, statedBytes }, problems };
    }
    const kept = await taker.take(Math.min(length, 40));
    if (id === "fmt ") {
      const read = readFormatChunk(kept, { file, byte: start + 8 });
      problems.push(...read.problems);
      if (read.format === undefined) return { problems };
      format = read.format;
    } else if (id === "ds64" && kept.length >= 16) {
      longData = uint32(kept, 8) + 2 ** 32 * uint32(kept, 12);
    }
    await taker.skip(length - kept.length + (length % 2));
  }
  const message = `The file ends after ${taker.offset} bytes without any samples.`;
  return refuse("wav-no-samples", message, { file, byte: taker.offset });
}

/** What to believe of the length of the samples. */
interface DataLength {
  readonly lengthBytes: number | undefined;
  readonly statedBytes: number | undefined;
  readonly flaw?: string;
}

async function measureData(taker: ByteTaker, stated: number, sizeBytes?: number): Promise<DataLength> {
  const left = sizeBytes === undefined ? undefined : Math.max(0, sizeBytes - taker.offset);
  const toTheEnd = { lengthBytes: left, statedBytes: undefined };
  // Programs that write to a pipe leave the greatest length, or nearly, and mean "to the end".
  if (stated === unknownLength || stated === 0x7fffffff || (stated >= 0x7ffff000 && stated < 0x80000000)) {
    return left !== undefined && left > stated ? { lengthBytes: stated, statedBytes: stated } : toTheEnd;
  }
  if (stated === 0 && !looksLikeChunk(await taker.peek(8))) {
    const isEmpty = (await taker.peek(1)).length === 0;
    const flaw = "The header says that there are 0 bytes of samples, but more follow; all of it is read.";
    return isEmpty ? { lengthBytes: 0, statedBytes: 0 } : { ...toTheEnd, flaw };
  }
  if (left === undefined) return { lengthBytes: undefined, statedBytes: stated };
  if (stated > left) {
    const flaw = `The header says that there are ${stated} bytes of samples, but the file ends after ${left}.`;
    return { lengthBytes: left, statedBytes: left, flaw };
  }
  // A length of 32 bits wraps round in a file of more than 4 GB.
  if (left - stated >= 2 ** 32 && (left - stated) % 2 ** 32 < 65536) {
    const flaw = `The header says ${stated} bytes of samples in a file with room for ${left}; all of it is read.`;
    return { ...toTheEnd, flaw };
  }
  return { lengthBytes: stated, statedBytes: stated };
}

/** True if a chunk may begin here: four characters that can be printed, as no quiet samples are, and a length. */
function looksLikeChunk(bytes: Uint8Array): boolean {
  return bytes.length === 8 && bytes.subarray(0, 4).every((byte) => byte >= 0x20 && byte < 0x7f);
}

async function* readBlocks(
  taker: ByteTaker,
  file: string,
  { format, lengthBytes, statedBytes }: DataChunk,
  problems: Problem[],
): AsyncGenerator<AudioBlock> {
  const { sampleRateHz, channelCount, encoding } = format;
  const frameBytes = encoding.bytes * channelCount;
  let left = statedBytes ?? lengthBytes ?? Number.POSITIVE_INFINITY;
  let frames = 0;
  let isFlawTold = false;
  try {
    while (left > 0) {
      const bytes = await taker.take(Math.min(left, blockFrames * frameBytes));
      if (bytes.length === 0) break;
      left -= bytes.length;
      const { channels, firstNotFinite } = decodeFrames(bytes, encoding, channelCount);
      if (firstNotFinite !== undefined && !isFlawTold) {
        isFlawTold = true;
        const seconds = (frames + firstNotFinite) / sampleRateHz;
        const message = "A sample is no finite number; such samples are taken as silence.";
        problems.push({ code: "wav-not-finite", severity: "warning", message, where: { file, seconds } });
      }
      frames += channels[0]?.length ?? 0;
      if (bytes.length % frameBytes !== 0) {
        const message = `The last frame is cut off after ${bytes.length % frameBytes} of ${frameBytes} bytes.`;
        problems.push(cutOff(file, frames / sampleRateHz, message));
      }
      yield { channels };
    }
    // A pipe that states a length is found out only now; a file was, when it was opened.
    if (lengthBytes === undefined && Number.isFinite(left) && left > 0) {
      const message = `The recording ends ${left} bytes before the length that its header states.`;
      problems.push(cutOff(file, frames / sampleRateHz, message));
    }
  } finally {
    await taker.close();
  }
}

function cutOff(file: string, seconds: number, message: string): Problem {
  return { code: "wav-cut-off", severity: "warning", message, where: { file, seconds } };
}

function lengthFlaw(file: string, byte: number, message: string): Problem {
  return { code: "wav-length", severity: "warning", message, where: { file, byte } };
}

function refuse(code: string, message: string, where: Problem["where"]): Opened {
  return { problems: [{ code, severity: "error", message, where }] };
}

function textOf(bytes: Uint8Array, start: number): string {
  return String.fromCharCode(...bytes.subarray(start, start + 4));
}

function uint32(bytes: Uint8Array, start: number): number {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength).getUint32(start, true);
}
