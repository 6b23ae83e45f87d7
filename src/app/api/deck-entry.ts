import type { Verdict } from "../../core/deck/limits.js";
import type { DeckReading } from "../../core/deck/reading.js";
import type { JobEntry } from "../../core/job/job-entry.js";

/** The entry of a job's log that keeps what was measured of a deck. */
export type DeckEntry = Extract<JobEntry, { kind: "deck-measurement" }>;

/** A measurement as an entry of a job's log; `recording` names the file. */
export function deckEntry(
  recording: string,
  { flutter, speed, isOwnRecording, toneHz, dropouts }: DeckReading,
  verdict: Verdict,
  stage: DeckEntry["stage"],
): DeckEntry {
  const percent = (ratio: number): number => Number((100 * ratio).toFixed(4));
  return {
    kind: "deck-measurement",
    stage,
    recording: recording.slice(-300),
    toneHz,
    ...(isOwnRecording ? {} : { speedErrorPercent: percent(speed.meanRatio) }),
    ...(flutter === undefined
      ? {}
      : {
          flutterWeightedPeakPercent: percent(flutter.weightedPeakRatio),
          flutterUnweightedPeakPercent: percent(flutter.unweightedPeakRatio),
          flutterWeightedRmsPercent: percent(flutter.weightedRmsRatio),
        }),
    dropouts: dropouts.length,
    limits: verdict.set.id,
    ...(verdict.grade === undefined ? {} : { grade: verdict.grade }),
  };
}
