import type { ToneFrame } from "./tone-frames.js";

/** A stretch of a recording in which one tone is heard. */
export interface ToneStretch {
  readonly startSeconds: number;
  readonly endSeconds: number;
  readonly frames: readonly ToneFrame[];
  /** Mean of the frames. */
  readonly hz: number;
}

/** A frame belongs to a tone if the tone has at least this share of the power. */
const leastPurity = 0.5;
/** The tone may change by this much from one frame to the next. */
const mostChangeRatio = 0.02;
/** What is quieter is no test tone. */
const leastAmplitude = 1e-4;

/** Stretches of at least two neighbouring frames with the same tone. `frameSeconds` is the distance of two frames. */
export function findTones(frames: readonly (ToneFrame | undefined)[], frameSeconds: number): ToneStretch[] {
  const found: ToneStretch[] = [];
  let held: ToneFrame[] = [];
  const close = (): void => {
    const [first] = held;
    const last = held.at(-1);
    if (first !== undefined && last !== undefined && held.length > 1) {
      found.push({
        startSeconds: Math.max(0, first.seconds - frameSeconds / 2),
        endSeconds: last.seconds + frameSeconds / 2,
        frames: held,
        hz: held.reduce((sum, { hz }) => sum + hz, 0) / held.length,
      });
    }
    held = [];
  };
  for (const frame of frames) {
    if (frame === undefined || frame.purity < leastPurity || Math.max(...frame.amplitudes) < leastAmplitude) {
      close();
      continue;
    }
    const last = held.at(-1);
    if (last !== undefined && Math.abs(frame.hz / last.hz - 1) > mostChangeRatio) close();
    held.push(frame);
  }
  close();
  return found;
}

/** The frames in which the tone sounds for all their length: not the first and the last, if there are more. */
export function innerFrames({ frames }: ToneStretch): readonly ToneFrame[] {
  return frames.length > 3 ? frames.slice(1, -1) : frames;
}
