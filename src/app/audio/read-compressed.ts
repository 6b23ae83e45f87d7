import type { Parsed, Problem } from "../../core/base/problem.js";
import type { ByteStream } from "../../core/signal/byte-stream.js";
import type { AudioBlock, AudioSource } from "../../core/signal/samples.js";
import { type BlockDecoder, type CompressedKind, type DecodedPiece, openDecoder } from "./block-decoder.js";
import { createEndWatch, type EndWatch } from "./end-watch.js";

/**
 * Bytes given to a decoder at once. Silence is packed a thousandfold, so that a small piece of a file can become many
 * megabytes of samples.
 */
const pieceBytes = 4096;
/** Most flaws of one recording that are listed one by one. */
const maximumFlaws = 20;

/** Names of the kinds as people know them. */
export const kindNames: Readonly<Record<CompressedKind, string>> = {
  flac: "FLAC",
  mp3: "MP3",
  vorbis: "Ogg Vorbis",
};

/**
 * Opens a compressed recording and decodes up to its first samples; the rest follows while the blocks are read. Without
 * a value the problems say why. Codes: `audio-damaged`, `audio-cut-off`, `audio-changes`, `audio-no-samples`.
 */
export async function readCompressed(stream: ByteStream, kind: CompressedKind): Promise<Parsed<AudioSource>> {
  const problems: Problem[] = [];
  const decoder = await openDecoder(kind);
  const pieces = decodePieces({ stream, kind, decoder, problems, watch: createEndWatch(kind) });
  const first = await pieces.next();
  if (first.done === true) {
    const message = `The file looks like ${kindNames[kind]}, but no samples can be read from it.`;
    const where = { file: stream.file };
    return { problems: [...problems, { code: "audio-no-samples", severity: "error", message, where }] };
  }
  const { sampleRateHz, channels, totalSeconds } = first.value;
  return {
    value: {
      sampleRateHz,
      channelCount: channels.length,
      ...(totalSeconds === undefined ? {} : { totalSeconds }),
      blocks: sameForm(first.value, pieces, stream.file, problems),
      problems,
    },
    problems,
  };
}

interface Work {
  readonly stream: ByteStream;
  readonly kind: CompressedKind;
  readonly decoder: BlockDecoder;
  readonly problems: Problem[];
  readonly watch: EndWatch;
}

interface Stretch extends AudioBlock {
  readonly sampleRateHz: number;
  readonly totalSeconds?: number;
}

async function* decodePieces(work: Work): AsyncGenerator<Stretch> {
  const { stream, decoder, problems, watch } = work;
  const { file } = stream;
  let seconds = 0;
  let samples = 0;
  let flaws = 0;
  let sampleRateHz = 0;
  const tell = (message: string): void => {
    flaws += 1;
    if (flaws > maximumFlaws) return;
    problems.push({ code: "audio-damaged", severity: "warning", message, where: { file, seconds } });
  };
  const stretchOf = (decoded: DecodedPiece): Stretch | undefined => {
    for (const { message } of decoded.errors)
      tell(`A piece of the recording is damaged (${plain(message)}).`);
    if (decoded.samplesDecoded === 0 || decoded.sampleRate <= 0) return undefined;
    sampleRateHz = decoded.sampleRate;
    samples += decoded.samplesDecoded;
    seconds += decoded.samplesDecoded / sampleRateHz;
    const stated = watch.statedSamples();
    return {
      channels: watch.isMono() ? decoded.channelData.slice(0, 1) : decoded.channelData,
      sampleRateHz,
      ...(stated === undefined ? {} : { totalSeconds: stated / sampleRateHz }),
    };
  };
  try {
    for await (const chunk of stream.chunks) {
      for (let start = 0; start < chunk.length; start += pieceBytes) {
        const bytes = chunk.subarray(start, start + pieceBytes);
        watch.see(bytes);
        const stretch = stretchOf(await decoder.decode(bytes));
        if (stretch !== undefined) yield stretch;
      }
    }
    const stretch = stretchOf(await decoder.finish());
    if (stretch !== undefined) yield stretch;
    if (watch.isCutOff(samples)) {
      const message = "The recording ends before the end that it states.";
      problems.push({ code: "audio-cut-off", severity: "warning", message, where: { file, seconds } });
    }
  } catch (cause) {
    // Decoders give up on what they cannot make sense of; what came before it stands.
    if (!(cause instanceof Error) || cause.name === "BoardwakeError") throw cause;
    tell(`The recording cannot be read on from here (${plain(cause.message)}).`);
  } finally {
    decoder.free();
  }
}

/** The stretches as long as they keep the form of the first. */
async function* sameForm(
  first: Stretch,
  rest: AsyncGenerator<Stretch>,
  file: string,
  problems: Problem[],
): AsyncGenerator<AudioBlock> {
  let seconds = 0;
  let next: Stretch | undefined = first;
  try {
    while (next !== undefined) {
      const { sampleRateHz, channels } = next;
      if (sampleRateHz !== first.sampleRateHz || channels.length !== first.channels.length) {
        const message = `The recording goes on with ${channels.length} × ${sampleRateHz} Hz after ${first.channels.length} × ${first.sampleRateHz} Hz; only the first part is read.`;
        problems.push({ code: "audio-changes", severity: "warning", message, where: { file, seconds } });
        return;
      }
      seconds += (channels[0]?.length ?? 0) / sampleRateHz;
      yield { channels };
      const { done, value }: IteratorResult<Stretch> = await rest.next();
      next = done === true ? undefined : value;
    }
  } finally {
    await rest.return(undefined);
  }
}

/** A decoder's message as half a sentence on one line. */
function plain(message: string): string {
  return message.replace(/\s+/g, " ").trim().replace(/\.$/, "").slice(0, 120);
}
