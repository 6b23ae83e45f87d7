import type { Problem } from "../../../core/base/problem.js";
import type { TapeScheme } from "../../../core/tape/scheme.js";
import { createStore, type Store } from "../../state/store.js";
import { IntervalMap } from "../signal/interval-map.js";
import { Pyramid } from "../signal/pyramid.js";
import { decodeByBrowser } from "./browser-decoding.js";
import type { FromWorker, Task, TaskResult, ToWorker } from "./messages.js";
import type { Reading } from "./reading.js";
import { SampleWindows } from "./sample-windows.js";

/** A recording as the page knows it; its samples are in the worker. */
export interface Take {
  readonly number: number;
  readonly name: string;
  readonly state: "coming" | "whole" | "refused";
  readonly sampleRateHz: number;
  readonly channelCount: number;
  /** Samples of each channel so far. */
  readonly samples: number;
  /** Length that its file states, while it is read. */
  readonly statedSeconds: number | undefined;
  readonly pyramids: readonly Pyramid[];
  readonly maps: readonly IntervalMap[];
  readonly problems: readonly Problem[];
  /** Whether it takes part when takes are combined. */
  readonly isWanted: boolean;
}

/** Work in hand. */
export interface Work {
  readonly ticket: number;
  readonly words: string;
  /** 0 to 1. */
  readonly share: number;
}

/** What a task came to, or what is wrong; neither if it was given up. */
export interface Outcome {
  readonly result?: TaskResult;
  readonly problems: readonly Problem[];
}

/** The desk of the tape page: takes, the reading made of them, and the work in hand. It outlives the page. */
export class TapeDesk {
  readonly takes: Store<readonly Take[]> = createStore<readonly Take[]>([]);
  readonly shown: Store<number> = createStore(-1);
  readonly reading: Store<Reading | null> = createStore<Reading | null>(null);
  /** Names of the recordings the reading was made of. */
  readonly readNames: Store<readonly string[]> = createStore<readonly string[]>([]);
  readonly work: Store<Work | null> = createStore<Work | null>(null);
  /** Schemes the user has opened or learned, beside those that come with the program. */
  readonly ownSchemes: Store<readonly TapeScheme[]> = createStore<readonly TapeScheme[]>([]);
  readonly windows: SampleWindows;
  private readonly worker: Worker;
  private readonly waiting = new Map<number, (outcome: Outcome) => void>();
  private readonly wavs = new Map<number, (parts: readonly Uint8Array[]) => void>();
  private readonly files = new Map<number, File>();
  private lastNumber = -1;

  constructor() {
    this.worker = new Worker(new URL("./worker.ts", import.meta.url), { type: "module" });
    this.worker.addEventListener("message", ({ data }: MessageEvent<FromWorker>) => this.hear(data));
    this.windows = new SampleWindows((message) => this.tell(message));
  }

  /** Opens a recording from a file and shows it. */
  open(file: File): void {
    const number = this.addTake(file.name);
    this.files.set(number, file);
    this.tell({ kind: "open", take: number, file });
  }

  /** Begins a recording; returns its number. */
  begin(name: string, sampleRateHz: number, channelCount: number): number {
    const number = this.addTake(name);
    this.tell({ kind: "begin", take: number, sampleRateHz, channelCount });
    return number;
  }

  append(take: number, channels: readonly Float32Array[]): void {
    this.tell(
      { kind: "append", take, channels },
      channels.map(({ buffer }) => buffer),
    );
  }

  end(take: number): void {
    this.tell({ kind: "end", take });
  }

  /** Takes a recording off the desk. */
  forget(number: number): void {
    this.tell({ kind: "forget", take: number });
    this.takes.update((takes) => takes.filter((take) => take.number !== number));
    if (this.shown.get() === number) this.show(this.takes.get().at(-1)?.number ?? -1);
  }

  /** Shows a recording; what was read from another goes. */
  show(number: number): void {
    if (this.shown.get() === number) return;
    this.shown.set(number);
    this.reading.set(null);
  }

  setWanted(number: number, isWanted: boolean): void {
    this.change(number, () => ({ isWanted }));
  }

  /** Puts a scheme beside those that come with the program; one of the same name is replaced. */
  addScheme(scheme: TapeScheme): void {
    this.ownSchemes.update((own) => [scheme, ...own.filter(({ id }) => id !== scheme.id)]);
  }

  /** Runs a task; one that is in hand is given up first. */
  run(words: string, task: Task): Promise<Outcome> {
    this.cancel();
    this.lastNumber += 1;
    const ticket = this.lastNumber;
    this.work.set({ ticket, words, share: 0 });
    return new Promise((resolve) => {
      this.waiting.set(ticket, resolve);
      this.tell({ kind: "task", ticket, task });
    });
  }

  /** Gives up the task in hand. */
  cancel(): void {
    const work = this.work.get();
    if (work === null) return;
    this.tell({ kind: "cancel", ticket: work.ticket });
    // The worker stops at its next step; whatever it still says of this task is not listened to.
    this.settle(work.ticket, { problems: [] });
  }

  /** A take as the parts of a WAV file. */
  wav(take: number): Promise<readonly Uint8Array[]> {
    this.lastNumber += 1;
    const ticket = this.lastNumber;
    return new Promise((resolve) => {
      this.wavs.set(ticket, resolve);
      this.tell({ kind: "wav", take, ticket });
    });
  }

  private tell(message: ToWorker, transfer: Transferable[] = []): void {
    this.worker.postMessage(message, transfer);
  }

  private addTake(name: string): number {
    this.lastNumber += 1;
    const number = this.lastNumber;
    const take: Take = {
      number,
      name,
      state: "coming",
      sampleRateHz: 0,
      channelCount: 0,
      samples: 0,
      statedSeconds: undefined,
      pyramids: [],
      maps: [],
      problems: [],
      isWanted: true,
    };
    this.takes.update((takes) => [...takes.filter(({ state }) => state !== "refused"), take]);
    this.show(number);
    return number;
  }

  private change(number: number, change: (take: Take) => Partial<Take>): void {
    this.takes.update((takes) =>
      takes.map((take) => (take.number === number ? { ...take, ...change(take) } : take)),
    );
  }

  private hear(message: FromWorker): void {
    switch (message.kind) {
      case "begun": {
        const { take, sampleRateHz, channelCount, totalSeconds } = message;
        this.change(take, () => ({
          sampleRateHz,
          channelCount,
          statedSeconds: totalSeconds,
          pyramids: Array.from({ length: channelCount }, () => new Pyramid()),
          maps: Array.from({ length: channelCount }, () => new IntervalMap()),
        }));
        return;
      }
      case "grown":
        this.change(message.take, ({ pyramids, maps }) => {
          for (const [channel, cells] of message.cells.entries()) pyramids[channel]?.push(cells);
          for (const [channel, columns] of message.columns.entries()) maps[channel]?.push(columns);
          return { samples: message.samples };
        });
        return;
      case "ended":
        this.files.delete(message.take);
        this.change(message.take, () => ({ state: "whole", problems: message.problems }));
        return;
      case "refused":
        void this.hearRefusal(message);
        return;
      case "window":
        this.windows.hear(message);
        return;
      case "wav":
        this.wavs.get(message.ticket)?.(message.parts);
        this.wavs.delete(message.ticket);
        return;
      case "progress":
        this.work.update((work) =>
          work?.ticket === message.ticket ? { ...work, share: message.share } : work,
        );
        return;
      case "done":
        this.settle(message.ticket, { result: message.result, problems: [] });
        return;
      case "failed":
        this.settle(message.ticket, { problems: message.problems });
    }
  }

  private settle(ticket: number, outcome: Outcome): void {
    this.work.update((work) => (work?.ticket === ticket ? null : work));
    this.waiting.get(ticket)?.(outcome);
    this.waiting.delete(ticket);
  }

  /** What our own reader does not know is given to the browser. */
  private async hearRefusal(message: Extract<FromWorker, { kind: "refused" }>): Promise<void> {
    const { take } = message;
    const file = this.files.get(take);
    this.files.delete(take);
    let { problems } = message;
    if (message.isOtherKind && file !== undefined) {
      const decoded = await decodeByBrowser(file);
      if (decoded.value !== undefined) {
        const { sampleRateHz, channels } = decoded.value;
        this.tell({ kind: "begin", take, sampleRateHz, channelCount: channels.length });
        for (let at = 0; at < (channels[0]?.length ?? 0); at += pieceSamples) {
          this.append(
            take,
            channels.map((samples) => samples.slice(at, at + pieceSamples)),
          );
        }
        this.end(take);
        return;
      }
      problems = decoded.problems;
    }
    this.change(take, () => ({ state: "refused", problems }));
  }
}

const pieceSamples = 1 << 19;

let desk: TapeDesk | undefined;

/** The one desk of the page, made when it is first asked for. */
export function tapeDesk(): TapeDesk {
  desk ??= new TapeDesk();
  return desk;
}
