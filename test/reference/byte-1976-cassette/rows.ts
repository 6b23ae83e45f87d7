import { readFileSync } from "node:fs";
import { z } from "zod";
import { createRandom } from "../../../src/core/base/random.js";
import { tapeHalfWaves } from "../../../src/core/tape/encode.js";
import { marginRecording, tapeMargins } from "../../../src/core/tape/margin.js";
import { openStore } from "../../../src/store/store.js";
import type { ReferenceRow } from "../support/check.js";

const dataSchema = z.record(z.string(), z.number());

/** The recordings we make of both rates, measured, beside the clauses of the standard. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  const data = dataSchema.parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));
  const published = (key: string): number => data[key] ?? Number.NaN;
  const schemes = openStore().data.tapeSchemes();
  const scheme = (id: string) => {
    const found = schemes.find((item) => item.id === id);
    if (found === undefined) throw new Error(`there is no scheme ${id}`);
    return found;
  };
  const slow = scheme("kansas-city-300");
  const row = (quantity: string, key: string, ours: number, tolerance: number): ReferenceRow => ({
    quantity,
    published: published(key),
    ours,
    tolerance,
    tag: key.includes("1200") || key.includes("Percent") ? "recomputed" : "published",
  });
  // A byte of 0 is one run of nine spaces; one of 255 has a single space, the start bit.
  const seconds = (id: string, count: number, value: number): number[] =>
    tapeHalfWaves(scheme(id), new Uint8Array(count).fill(value), 0);
  const total = (id: string, count: number): number => {
    const withBytes = seconds(id, count, 85).reduce((sum, length) => sum + length, 0);
    return withBytes - seconds(id, 0, 85).reduce((sum, length) => sum + length, 0);
  };
  const start = seconds("kansas-city-300", 1, 255).filter((length) => length > 0.0003);
  const marks = seconds("kansas-city-300", 1, 255).filter((length) => length < 0.0003);
  const random = createRandom(1976);
  const bytes = Uint8Array.from({ length: 32 }, () => random.below(256));
  const recording = { samples: marginRecording(slow, bytes, 48000), sampleRateHz: 48000 };
  const margins = tapeMargins(slow, bytes, recording, 1);
  return [
    row("frequency of a mark, Hz", "markHz", 0.5 / (marks[0] ?? Number.NaN), 1e-9),
    row("frequency of a space, Hz", "spaceHz", 0.5 / (start[0] ?? Number.NaN), 1e-9),
    row("cycles of a space at 300 baud", "cyclesOfSpace300", start.length / 2, 0),
    row(
      "cycles of a mark at 300 baud",
      "cyclesOfMark300",
      slow.signal.kind === "tones" ? slow.signal.cyclesPerBit : Number.NaN,
      0,
    ),
    row("leader before a block, s", "leaderSecondsAtLeast", slow.leader.seconds, 0),
    row("duration of a character at 300 baud, s", "characterSeconds300", total("kansas-city-300", 1), 5e-7),
    row("bytes a second at 300 baud", "bytesASecond300", 1 / total("kansas-city-300", 1), 0.005),
    row(
      "duration of 1024 bytes at 300 baud, s",
      "secondsOf1024Bytes300",
      total("kansas-city-300", 1024),
      0.005,
    ),
    row(
      "duration of 1024 bytes at 1200 baud, s",
      "secondsOf1024Bytes1200",
      total("kansas-city-1200", 1024),
      0.0005,
    ),
    row(
      "border of a loader between short and long, µs",
      "discriminatorMicroseconds",
      slow.loader?.thresholdMicroseconds ?? Number.NaN,
      0,
    ),
    row(
      "speed above which that loader misreads, %",
      "spaceMisreadAbovePercent",
      margins?.fastestPercent ?? Number.NaN,
      1.4,
    ),
    row(
      "speed below which that loader misreads, %",
      "markMisreadBelowPercent",
      margins?.slowestPercent ?? Number.NaN,
      1.4,
    ),
  ];
}
