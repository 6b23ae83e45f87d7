import type { DeckReading } from "./reading.js";

/** What a speed error asks for. */
export interface SpeedHint {
  readonly text: string;
  /** What the tone must read when the speed is right. */
  readonly wantedHz: number;
}

const trimmerRatio = 0.003;
const mechanicalRatio = 0.06;
const driftRatio = 0.005;

/**
 * What to do about a speed error, in words; the bounds are common practice, no source. On a tape that the deck recorded
 * itself the mean error is hidden and nothing is said of it.
 */
export function speedHints({ speed, isOwnRecording, toneHz, measuredHz }: DeckReading): SpeedHint[] {
  const hints: SpeedHint[] = [];
  const say = (text: string): void => void hints.push({ text, wantedHz: toneHz });
  if (isOwnRecording) {
    say(
      "The tone was recorded on this deck, so its own speed error is hidden: play a tape made elsewhere to see it.",
    );
  } else if (Math.abs(speed.meanRatio) > mechanicalRatio) {
    say(
      `More than 6 % ${fastOrSlow(speed.meanRatio)} is beyond a trimmer: look for a wrong pulley, a belt on the wrong step, a slipping or hard belt, a wrong motor voltage.`,
    );
  } else if (Math.abs(speed.meanRatio) > trimmerRatio) {
    say(
      `The tape runs ${fastOrSlow(speed.meanRatio)}: after half an hour of running turn the motor's trimmer until the tone reads ${toneHz} Hz instead of ${measuredHz.toFixed(1)} Hz, with an insulated tool.`,
    );
  }
  const drift =
    Math.max(speed.startRatio, speed.middleRatio, speed.endRatio) -
    Math.min(speed.startRatio, speed.middleRatio, speed.endRatio);
  if (drift > driftRatio) {
    say(
      `The speed changes by ${(100 * drift).toFixed(2)} % from start to end: belt, clutch, dry bearings, a tight cassette, or a motor control that drifts; cure that before any trimmer.`,
    );
  }
  return hints;
}

function fastOrSlow(ratio: number): string {
  return ratio > 0 ? "fast" : "slow";
}

/** What of a flutter reading belongs to the play-back alone. */
export interface ReplayShare {
  /** Recording and play-back alike and unrelated: their powers add. */
  readonly usualRatio: number;
  /** Both in step, as with a capstan that is not round: their peaks add. */
  readonly leastRatio: number;
}

/**
 * A deck that plays what it recorded adds its flutter twice. The share of one pass is between half the reading and the
 * reading by √2.
 */
export function replayShare(readingRatio: number): ReplayShare {
  return { usualRatio: readingRatio / Math.SQRT2, leastRatio: readingRatio / 2 };
}
