import { blockOf, doubtsOf, type Reading } from "./reading.js";

/** The description that goes with the bytes of a reading, as JSON text. Offsets count in the file of the contents. */
export function manifestText(reading: Reading, recording: string): string {
  let offset = 0;
  const offsets = reading.blocks.map(({ bodyFrom, bodyTo }) => {
    const own = offset;
    offset += bodyTo - bodyFrom;
    return own;
  });
  const blocks = reading.blocks.map((block, number) => ({
    offset: offsets[number] ?? 0,
    length: block.bodyTo - block.bodyFrom,
    startSeconds: rounded(block.startSeconds),
    endSeconds: rounded(block.endSeconds),
    check: block.check,
    fields: Object.fromEntries(block.fields.map(({ name, value }) => [name, value])),
  }));
  const doubtful = doubtsOf(reading).flatMap((byte) => {
    const found = blockOf(reading, byte);
    if (found === undefined || byte < found.block.bodyFrom || byte >= found.block.bodyTo) return [];
    const other = reading.other[byte] ?? -1;
    return [
      {
        offset: (offsets[found.number] ?? 0) + byte - found.block.bodyFrom,
        value: reading.bytes[byte] ?? 0,
        confidence: rounded(reading.confidence[byte] ?? 0),
        ...(other < 0 ? {} : { other }),
      },
    ];
  });
  const { speedErrorPercent } = reading;
  const manifest = {
    recording,
    scheme: reading.schemeId,
    blocks,
    doubtful,
    ...(speedErrorPercent === undefined ? {} : { speedErrorPercent: rounded(speedErrorPercent) }),
    secondsOfAudio: rounded(reading.secondsOfAudio),
  };
  return `${JSON.stringify(manifest, null, 2)}\n`;
}

function rounded(value: number): number {
  return Math.round(value * 1e4) / 1e4;
}
