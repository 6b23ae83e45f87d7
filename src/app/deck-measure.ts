import { nearestName } from "../core/base/nearest.js";
import type { Parsed } from "../core/base/problem.js";
import { readCheckedJson } from "../core/board/read/schema-problems.js";
import { deckLimitsFileSchema, judge, type LimitSet, type Verdict } from "../core/deck/limits.js";
import { measureDeck } from "../core/deck/meter.js";
import type { DeckReading, MeasureOptions } from "../core/deck/reading.js";
import type { ByteStream } from "../core/signal/byte-stream.js";
import { openAudio } from "./audio/open-audio.js";
import type { Store } from "./passed-in.js";
import { usage } from "./usage.js";

/** A deck measured and judged. */
export interface MeasuredDeck {
  /** Name of the recording. */
  readonly file: string;
  readonly reading: DeckReading;
  readonly verdict: Verdict;
}

/** The limits that are taken if none are named. */
export const usualLimits = "data-recorder";

const maximumLimitBytes = 1_000_000;

/**
 * The limits a user names: the id of an installed set, or a file with limits of their own, of which the first set counts.
 * The value is absent if the file has a flaw. Throws `usage` if there is neither such a set nor such a file.
 */
export function findLimits(store: Store, name: string): Parsed<LimitSet> {
  const { sets } = store.data.deckLimits();
  const installed = sets.find(({ id }) => id === name);
  if (installed !== undefined) return { value: installed, problems: [] };
  if (!store.files.isFile(name)) {
    const ids = sets.map(({ id }) => id);
    const near = nearestName(name, ids);
    const meant = near === undefined ? "" : ` Did you mean '${near}'?`;
    throw usage(
      `There are no limits called '${name}', and no such file.${meant} Limits here: ${ids.join(", ")}.`,
    );
  }
  const { file, text } = store.files.read(name, maximumLimitBytes);
  const { value, problems } = readCheckedJson(text, deckLimitsFileSchema, { file });
  const [set] = value?.value.sets ?? [];
  return set === undefined ? { problems } : { value: set, problems };
}

/**
 * Measures a recording of a reference tone and judges it. The value is absent if the recording holds nothing that can be
 * measured. `onProgress` is told the seconds read and, if it is known, how many there are.
 */
export async function measureRecording(
  stream: ByteStream,
  options: MeasureOptions,
  limits: LimitSet,
  onProgress?: (seconds: number, total: number | undefined) => void,
): Promise<Parsed<MeasuredDeck>> {
  const opened = await openAudio(stream);
  if (opened.value === undefined) return { problems: opened.problems };
  const { totalSeconds } = opened.value;
  const { value, problems } = await measureDeck(opened.value, options, (seconds) =>
    onProgress?.(seconds, totalSeconds),
  );
  const placed = problems.map((problem) => ({ ...problem, where: { file: stream.file, ...problem.where } }));
  if (value === undefined) return { problems: placed };
  return { value: { file: stream.file, reading: value, verdict: judge(value, limits) }, problems: placed };
}
