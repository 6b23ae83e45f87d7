import { type CheckResult, doubtsOf, type ReadBlock, type Reading } from "./reading.js";

/** Doubtful bytes of a block that are written out with what else they may be. */
const mostDoubts = 200;

const checks: Readonly<Record<CheckResult, string>> = {
  right: "good",
  // The changed byte stays among the doubtful ones, with its old value beside it.
  repaired: "good",
  wrong: "bad",
  cut: "cut",
  none: "none",
};

/**
 * The description that goes with the bytes of a reading, as JSON text: the same manifest that the command line writes.
 * Offsets count in the file of the contents.
 */
export function manifestText(reading: Reading, recordings: readonly string[]): string {
  let offset = 0;
  const blocks = reading.blocks.map((block, number) => {
    const own = blockOf(reading, block, { number: number + 1, offset, recordings });
    offset += block.bodyTo - block.bodyFrom;
    return own;
  });
  const bodies = reading.blocks.flatMap(({ bodyFrom, bodyTo }) =>
    Array.from({ length: bodyTo - bodyFrom }, (_, i) => bodyFrom + i),
  );
  const { speedErrorPercent } = reading;
  const manifest = {
    format: "boardwake tape manifest",
    formatVersion: 1,
    recordings,
    scheme: reading.schemeId,
    blocks,
    bytes: offset,
    doubtful: blocks.flatMap(({ doubtful }) => doubtful),
    ...(speedErrorPercent === undefined ? {} : { speedErrorPercent }),
    secondsOfAudio: reading.secondsOfAudio,
    channels: reading.channels,
    peak: reading.peak,
    clippedShare: reading.clippedShare,
    problems: reading.problems,
    startSeconds: bodies.map((byte) => Number((reading.startSeconds[byte] ?? 0).toFixed(5))),
    confidence: bodies.map((byte) => Number((reading.confidence[byte] ?? 0).toFixed(4))),
  };
  return `${JSON.stringify(manifest, null, 2)}\n`;
}

function blockOf(
  reading: Reading,
  block: ReadBlock,
  {
    number,
    offset,
    recordings,
  }: { readonly number: number; readonly offset: number; readonly recordings: readonly string[] },
) {
  const { bodyFrom, bodyTo, startSeconds, endSeconds, fields, check, repair } = block;
  const doubts = doubtsOf(reading).filter((byte) => byte >= bodyFrom && byte < bodyTo);
  const places = doubts.map((byte) => offset + byte - bodyFrom);
  return {
    number,
    offset,
    length: bodyTo - bodyFrom,
    startSeconds,
    endSeconds,
    fields,
    check: checks[check],
    ...(repair === undefined
      ? {}
      : {
          repair: {
            offset: offset + repair.byte - bodyFrom,
            from: reading.bytes[repair.byte] ?? 0,
            to: repair.value,
            bitConfidence: repair.bitConfidence,
            rivals: repair.rivals,
          },
        }),
    doubtful: places,
    doubts: doubts.slice(0, mostDoubts).map((byte, i) => ({
      offset: places[i] ?? 0,
      startSeconds: reading.startSeconds[byte] ?? 0,
      endSeconds: reading.endSeconds[byte] ?? 0,
      value: reading.bytes[byte] ?? 0,
      confidence: reading.confidence[byte] ?? 0,
      alternatives: alternativesOf(reading, byte),
      ...(recordings.length < 2 ? {} : { take: recordings[reading.source[byte] ?? 0] ?? "" }),
    })),
  };
}

function alternativesOf(reading: Reading, byte: number) {
  const value = reading.other[byte] ?? -1;
  return value < 0 ? [] : [{ value, probability: reading.otherChance[byte] ?? 0 }];
}
