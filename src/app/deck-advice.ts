import { replayShare, speedHints } from "../core/deck/hints.js";
import type { MeasuredDeck } from "./deck-measure.js";

/** What a measurement means and asks for, in sentences. */
export interface DeckAdvice {
  readonly sentences: readonly string[];
}

/** What to say of a measured deck besides its figures. */
export function deckAdvice({ reading, verdict }: MeasuredDeck): DeckAdvice {
  const sentences = speedHints(reading).map(({ text }) => text);
  const { flutter, azimuth } = reading;
  if (reading.isOwnRecording && flutter !== undefined) {
    const { usualRatio, leastRatio } = replayShare(flutter.weightedPeakRatio);
    const [usual, least] = [usualRatio, leastRatio].map((ratio) => (100 * ratio).toFixed(3));
    sentences.push(
      `Recording and playing back on one deck adds its flutter twice: one pass alone has about ${usual} %, and ${least} % at the least.`,
    );
  }
  if (azimuth?.isSameSignal === true) {
    sentences.push("Both channels hold the same signal, so nothing can be said of the head's azimuth.");
  }
  if (verdict.grade === "poor" || verdict.grade === "fair") {
    sentences.push(
      "Clean heads, capstan and pinch roller before anything is adjusted: 'boardwake deck care clean' has the steps and their cautions.",
    );
  }
  return { sentences };
}
