import type { Parsed } from "../../core/base/problem.js";
import type { ByteStream } from "../../core/signal/byte-stream.js";
import type { AudioSource } from "../../core/signal/samples.js";
import { readWav } from "../../core/signal/wav-read.js";
import { audioKind, kindBytes } from "./audio-kind.js";
import { readCompressed } from "./read-compressed.js";

/**
 * Opens a recording of any kind that is read (WAV, FLAC, MP3, Ogg Vorbis), told by its first bytes. Its samples are
 * decoded while they are asked for. Without a value the problems say why.
 * Codes: `audio-unknown`, `audio-empty`, `audio-opus`, and those of `readWav` and `readCompressed`.
 */
export async function openAudio(stream: ByteStream): Promise<Parsed<AudioSource>> {
  const { head, whole, close } = await lookAhead(stream);
  const kind = audioKind(head);
  const refuse = (code: string, message: string, hint: string): Parsed<AudioSource> => ({
    problems: [{ code, severity: "error", message, where: { file: stream.file, byte: 0 }, hint }],
  });
  if (kind === "wav") return readWav(whole);
  if (kind !== "unknown" && kind !== "opus") return readCompressed(whole, kind);
  await close();
  if (head.length === 0) return refuse("audio-empty", "The file is empty.", "Record it again.");
  if (kind === "opus") {
    const message = "The file is Ogg Opus, which is not read: it does not keep the waveform of a data tape.";
    return refuse("audio-opus", message, "Record as WAV or FLAC.");
  }
  const begin = [...head.subarray(0, 4)].map((byte) => byte.toString(16).padStart(2, "0")).join(" ");
  const message = `This is no recording that can be read: it begins with the bytes ${begin}.`;
  return refuse("audio-unknown", message, "WAV, FLAC, MP3 and Ogg Vorbis are read.");
}

interface LookedAt {
  /** The first bytes; all of them if the file is very short. */
  readonly head: Uint8Array;
  /** The stream with those bytes still in it. */
  readonly whole: ByteStream;
  /** Lets go of the file if `whole` is not read. */
  close(): Promise<void>;
}

async function lookAhead(stream: ByteStream): Promise<LookedAt> {
  const iterator = stream.chunks[Symbol.asyncIterator]();
  const first: Uint8Array[] = [];
  let length = 0;
  while (length < kindBytes) {
    const { done, value } = await iterator.next();
    if (done === true) break;
    first.push(value);
    length += value.length;
  }
  const head = new Uint8Array(length);
  let at = 0;
  for (const chunk of first) {
    head.set(chunk, at);
    at += chunk.length;
  }
  const close = async (): Promise<void> => void (await iterator.return?.());
  return { head, whole: { ...stream, chunks: putBack(first, iterator) }, close };
}

async function* putBack(
  first: readonly Uint8Array[],
  iterator: AsyncIterator<Uint8Array>,
): AsyncGenerator<Uint8Array> {
  try {
    yield* first;
    for (;;) {
      const { done, value } = await iterator.next();
      if (done === true) return;
      yield value;
    }
  } finally {
    await iterator.return?.();
  }
}
