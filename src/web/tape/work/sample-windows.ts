import type { ToWorker } from "./messages.js";

/** Samples of a stretch of one channel. */
export interface SampleWindow {
  readonly take: number;
  readonly channel: number;
  /** Number of the first sample. */
  readonly from: number;
  readonly samples: Float32Array;
}

/** Keeps the samples that are being looked at, and asks the worker for those that are not there. */
export class SampleWindows {
  private readonly ask: (message: ToWorker) => void;
  private held: SampleWindow | undefined;
  private asked: { take: number; channel: number; from: number; to: number } | undefined;
  private readonly listeners = new Set<() => void>();

  constructor(ask: (message: ToWorker) => void) {
    this.ask = ask;
  }

  /** Called whenever samples have come. */
  subscribe(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /** Samples that hold those from `from` to before `to`; undefined until they have come. */
  over(take: number, channel: number, from: number, to: number): SampleWindow | undefined {
    const { held } = this;
    const isHeld = held?.take === take && held.channel === channel;
    if (isHeld && held.from <= from && held.from + held.samples.length >= to) return held;
    const { asked } = this;
    const isAsked = asked?.take === take && asked.channel === channel && asked.from <= from && asked.to >= to;
    if (!isAsked) {
      // As much again on both sides, so that moving a little asks for nothing.
      const margin = to - from;
      const start = Math.max(0, Math.floor(from - margin));
      const end = Math.ceil(to + margin);
      this.asked = { take, channel, from: start, to: end };
      this.ask({ kind: "window", take, channel, from: start, count: end - start });
    }
    return isHeld ? held : undefined;
  }

  hear({ take, channel, from, samples }: SampleWindow): void {
    this.held = { take, channel, from, samples };
    if (this.asked?.from === from) this.asked = undefined;
    for (const listener of this.listeners) listener();
  }
}
