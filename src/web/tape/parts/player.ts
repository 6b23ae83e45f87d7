import { createStore, type Store } from "../../state/store.js";

/** What is being played to the machine. */
export interface Playing {
  readonly words: string;
  /** Length in seconds. */
  readonly seconds: number;
  /** Seconds played so far. */
  readonly at: number;
}

/** What is being played now. */
export const playing: Store<Playing | null> = createStore<Playing | null>(null);

let stopNow: (() => void) | undefined;

/** Plays samples at the rate they have, as they are: full scale stays full scale. Ends what was played before. */
export function play(words: string, samples: Float32Array, sampleRateHz: number): void {
  stopPlaying();
  const context = new AudioContext();
  const buffer = context.createBuffer(1, samples.length, sampleRateHz);
  buffer.getChannelData(0).set(samples);
  const source = context.createBufferSource();
  source.buffer = buffer;
  source.connect(context.destination);
  const seconds = samples.length / sampleRateHz;
  const start = context.currentTime;
  const timer = setInterval(() => {
    const at = Math.min(seconds, Math.max(0, context.currentTime - start));
    playing.set({ words, seconds, at });
  }, 200);
  const end = (): void => {
    if (stopNow !== end) return;
    stopNow = undefined;
    clearInterval(timer);
    playing.set(null);
    source.onended = null;
    source.stop();
    void context.close();
  };
  stopNow = end;
  source.onended = end;
  playing.set({ words, seconds, at: 0 });
  source.start();
}

/** Ends what is being played. */
export function stopPlaying(): void {
  stopNow?.();
}
