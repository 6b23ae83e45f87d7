import type { Problem } from "../../../core/base/problem.js";
import type { ByteStream } from "../../../core/signal/byte-stream.js";
import type { AudioBlock } from "../../../core/signal/samples.js";
import { readWav } from "../../../core/signal/wav-read.js";
import { wavPieces } from "../../../core/signal/wav-write.js";
import { IntervalCounter } from "../signal/interval-map.js";
import { CellMaker } from "../signal/pyramid.js";
import { mostSamples, SampleStore } from "../signal/sample-store.js";
import type { FromWorker } from "./messages.js";

/** Most channels of a recording that are kept. */
const mostChannels = 2;
/** Samples after which the page is told. */
const tellSamples = 1 << 19;

/** A recording on the desk, with what draws it. */
interface Take {
  readonly store: SampleStore;
  readonly cells: readonly CellMaker[];
  readonly intervals: readonly IntervalCounter[];
  readonly problems: Problem[];
  isFull: boolean;
}

/** Sends a message to the page; the buffers change hands. */
export type Tell = (message: FromWorker, transfer?: Transferable[]) => void;

/** The recordings the worker holds. */
export class TakeDesk {
  private readonly takes = new Map<number, Take>();
  private readonly tell: Tell;

  constructor(tell: Tell) {
    this.tell = tell;
  }

  /** The samples of a take. Throws `RangeError` if there is none of that number. */
  store(number: number): SampleStore {
    const take = this.takes.get(number);
    if (take === undefined) throw new RangeError(`there is no take ${number}`);
    return take.store;
  }

  /** Reads a WAV file; a file of another kind is refused, and may be decoded elsewhere. */
  async open(number: number, file: File): Promise<void> {
    const { value, problems } = await readWav(streamOf(file));
    if (value === undefined) {
      const isOtherKind = problems.some(({ code }) => code === "wav-not-wave");
      this.tell({ kind: "refused", take: number, isOtherKind, problems });
      return;
    }
    const { sampleRateHz, channelCount, totalSeconds } = value;
    this.begin(number, sampleRateHz, channelCount, totalSeconds);
    let held: AudioBlock[] = [];
    let count = 0;
    for await (const block of value.blocks) {
      held.push(block);
      count += block.channels[0]?.length ?? 0;
      if (count < tellSamples) continue;
      if (!this.append(number, joined(held, count))) break;
      held = [];
      count = 0;
    }
    if (count > 0) this.append(number, joined(held, count));
    this.takes.get(number)?.problems.push(...value.problems);
    this.end(number);
  }

  begin(number: number, sampleRateHz: number, channelCount: number, totalSeconds?: number): void {
    const channels = Array.from({ length: Math.min(channelCount, mostChannels) });
    this.takes.set(number, {
      store: new SampleStore(sampleRateHz, channels.length),
      cells: channels.map(() => new CellMaker()),
      intervals: channels.map(() => new IntervalCounter(sampleRateHz)),
      problems: [],
      isFull: false,
    });
    const length = totalSeconds === undefined ? {} : { totalSeconds };
    this.tell({ kind: "begun", take: number, sampleRateHz, channelCount: channels.length, ...length });
  }

  /** Adds samples; false once no more are taken. */
  append(number: number, channels: readonly Float32Array[]): boolean {
    const take = this.takes.get(number);
    if (take === undefined || take.isFull) return false;
    const own = channels.slice(0, take.store.channelCount);
    if (!take.store.push({ channels: own })) {
      take.isFull = true;
      const seconds = take.store.samples / take.store.sampleRateHz;
      const message = `The page keeps up to ${mostSamples / 1e6} million samples; what comes after is left out.`;
      const hint = "Cut the recording, or read it with the command line, which keeps none.";
      take.problems.push({ code: "take-full", severity: "warning", message, where: { seconds }, hint });
      return false;
    }
    const cells = own.map((samples, i) => take.cells[i]?.push(samples) ?? new Float32Array(0));
    const columns = own.map((samples, i) => take.intervals[i]?.push(samples) ?? new Uint16Array(0));
    this.tellGrowth(number, take, cells, columns);
    return true;
  }

  /** No more samples come. */
  end(number: number): void {
    const take = this.takes.get(number);
    if (take === undefined) return;
    const cells = take.cells.map((maker) => maker.finish());
    const columns = take.intervals.map((counter) => counter.finish());
    this.tellGrowth(number, take, cells, columns);
    this.tell({ kind: "ended", take: number, problems: take.problems });
  }

  forget(number: number): void {
    this.takes.delete(number);
  }

  /** Sends some samples as they are. */
  window(number: number, channel: number, from: number, count: number): void {
    const samples = this.takes.get(number)?.store.read(from, count, channel);
    if (samples === undefined) return;
    this.tell({ kind: "window", take: number, channel, from, samples }, [samples.buffer]);
  }

  /** The take as a WAV file. */
  async wav(number: number): Promise<Uint8Array[]> {
    const store = this.store(number);
    const source = store.source(async () => undefined);
    const parts: Uint8Array[] = [];
    for await (const part of wavPieces(source, store.samples)) parts.push(part);
    return parts;
  }

  private tellGrowth(take: number, { store }: Take, cells: Float32Array[], columns: Uint16Array[]): void {
    const buffers = [...cells, ...columns].map(({ buffer }) => buffer);
    this.tell({ kind: "grown", take, samples: store.samples, cells, columns }, buffers);
  }
}

function joined(blocks: readonly AudioBlock[], count: number): Float32Array[] {
  const channelCount = blocks[0]?.channels.length ?? 0;
  return Array.from({ length: channelCount }, (_, channel) => {
    const out = new Float32Array(count);
    let at = 0;
    for (const { channels } of blocks) {
      const samples = channels[channel] ?? new Float32Array(0);
      out.set(samples, at);
      at += samples.length;
    }
    return out;
  });
}

function streamOf(file: File): ByteStream {
  return { file: file.name, sizeBytes: file.size, chunks: chunksOf(file) };
}

async function* chunksOf(file: File): AsyncGenerator<Uint8Array> {
  const reader = file.stream().getReader();
  try {
    for (;;) {
      const { done, value } = await reader.read();
      if (done) return;
      yield value;
    }
  } finally {
    await reader.cancel();
  }
}
