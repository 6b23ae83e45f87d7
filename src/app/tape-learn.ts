import type { Parsed } from "../core/base/problem.js";
import type { ByteStream } from "../core/signal/byte-stream.js";
import { type LearnedTape, learnSeconds, learnTape } from "../core/tape/learn.js";
import { openAudio } from "./audio/open-audio.js";

/** Looks at the first minute and a half of a recording, both channels together, and works out how it keeps its bytes. */
export async function learnRecording(stream: ByteStream): Promise<Parsed<LearnedTape>> {
  const opened = await openAudio(stream);
  if (opened.value === undefined) return { problems: opened.problems };
  const source = opened.value;
  const most = Math.ceil(learnSeconds * source.sampleRateHz);
  const pieces: Float32Array[] = [];
  let length = 0;
  for await (const { channels } of source.blocks) {
    const [first, second] = channels;
    if (first === undefined) continue;
    // The louder channel of the two would do; their mean would not where one is upside down.
    pieces.push(second === undefined || energy(first) >= energy(second) ? first : second);
    length += first.length;
    if (length >= most) break;
  }
  const samples = new Float32Array(Math.min(most, length));
  let at = 0;
  for (const piece of pieces) {
    samples.set(piece.subarray(0, samples.length - at), at);
    at = Math.min(samples.length, at + piece.length);
  }
  return { value: await learnTape(samples, source.sampleRateHz), problems: [...source.problems] };
}

function energy(samples: Float32Array): number {
  let sum = 0;
  for (const value of samples) sum += value * value;
  return sum;
}
