import type { Problem } from "../../core/base/problem.js";
import { type DeckLimitsFile, deckLimitsFileSchema, type LimitSet } from "../../core/deck/limits.js";
import type { DeckReading, MeasureOptions } from "../../core/deck/reading.js";
import { createStore, type Store } from "../state/store.js";
import { decodeByBrowser } from "../tape/work/browser-decoding.js";
import type { FromWorker, ToWorker } from "./messages.js";

/** What was measured last. */
export interface Measured {
  readonly name: string;
  readonly reading: DeckReading | undefined;
  readonly problems: readonly Problem[];
}

/** Limits travel with the page, as data. */
const files = import.meta.glob("../../../data/deck/limits.json", { eager: true, import: "default" });

/** Sets of limits that come with the program. */
export function knownLimits(): readonly LimitSet[] {
  return Object.values(files).flatMap(
    (file): DeckLimitsFile["sets"] => deckLimitsFileSchema.parse(file).sets,
  );
}

/** Measures decks in a worker. It outlives the page, so that a reading is still there when one comes back. */
export class Mechanism {
  readonly measured: Store<Measured | null> = createStore<Measured | null>(null);
  /** Words for the work in hand; empty if there is none. */
  readonly work: Store<string> = createStore("");
  private readonly worker = new Worker(new URL("./worker.ts", import.meta.url), { type: "module" });
  private ticket = 0;
  private again: ((options: MeasureOptions) => void) | undefined;
  private otherKind: (() => void) | undefined;
  private name = "";

  constructor() {
    this.worker.addEventListener("message", ({ data }: MessageEvent<FromWorker>) => this.hear(data));
  }

  /** Measures a file. WAV is read as it is; other kinds are decoded by the browser. */
  open(file: File, options: MeasureOptions): void {
    this.again = (changed) => this.open(file, changed);
    const ticket = this.start(file.name, "Reading the recording");
    this.otherKind = () => void this.decode(ticket, file, options);
    this.tell({ kind: "file", ticket, file, options });
  }

  /** Measures the last recording again, with something else known of it. */
  measureAgain(options: MeasureOptions): void {
    this.again?.(options);
  }

  /** Begins to measure what is heard; returns its ticket. */
  begin(name: string, sampleRateHz: number): number {
    this.name = name;
    this.ticket += 1;
    this.again = undefined;
    this.tell({ kind: "begin", ticket: this.ticket, sampleRateHz });
    return this.ticket;
  }

  append(ticket: number, channels: readonly Float32Array[]): void {
    this.tell({ kind: "append", ticket, channels });
  }

  end(ticket: number, options: MeasureOptions): void {
    this.work.set("Working the recording out");
    this.again = (changed) => this.tell({ kind: "again", ticket, options: changed });
    this.tell({ kind: "end", ticket, options });
  }

  forget(ticket: number): void {
    this.tell({ kind: "forget", ticket });
  }

  private async decode(ticket: number, file: File, options: MeasureOptions): Promise<void> {
    const { value, problems } = await decodeByBrowser(file);
    if (ticket !== this.ticket) return;
    if (value === undefined) {
      this.work.set("");
      this.measured.set({ name: file.name, reading: undefined, problems });
      return;
    }
    this.tell({ kind: "sound", ticket, sampleRateHz: value.sampleRateHz, channels: value.channels, options });
  }

  private start(name: string, words: string): number {
    this.name = name;
    this.work.set(words);
    this.ticket += 1;
    return this.ticket;
  }

  private tell(message: ToWorker): void {
    this.worker.postMessage(message);
  }

  private hear(message: FromWorker): void {
    if (message.ticket !== this.ticket) return;
    switch (message.kind) {
      case "progress":
        this.work.set(`Reading the recording: ${Math.round(message.seconds)} s so far`);
        return;
      case "other-kind":
        this.otherKind?.();
        return;
      case "done":
        this.work.set("");
        this.measured.set({ name: this.name, reading: message.reading, problems: message.problems });
    }
  }
}

let only: Mechanism | undefined;

/** The one of this page; made when the deck page is first opened. */
export function mechanism(): Mechanism {
  only ??= new Mechanism();
  return only;
}
