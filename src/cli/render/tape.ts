import type { tapeReadOutput } from "../../app/output/tape-output.js";
import type { LearnedTape } from "../../core/tape/learn.js";
import type { TapeMargins } from "../../core/tape/margin.js";
import { type Paint, percent, wrap } from "../text.js";

type TapeOutput = ReturnType<typeof tapeReadOutput>;

/** Doubtful bytes that are shown to people; the manifest has them all. */
const shownDoubts = 12;

/** A recording that was read, for people: what was found, block by block, and what is doubtful. */
export function renderReading(output: TapeOutput, paint: Paint, isRepaired: boolean): string[] {
  const { blocks, bytes, doubtful, speedErrorPercent, secondsOfAudio, peak, clippedShare } = output;
  const speed = speedErrorPercent === undefined ? "" : `, speed ${signed(speedErrorPercent)} %`;
  const lines = [
    paint.bold(`${bytes} bytes in ${blocks.length === 1 ? "1 block" : `${blocks.length} blocks`}${speed}`),
    `${secondsOfAudio.toFixed(1)} s of sound, peak ${percent(peak)} of full scale.`,
  ];
  if (clippedShare > 0.001)
    lines.push(...wrap(`${percent(clippedShare)} of the samples are at full scale: record with less level.`));
  for (const block of blocks) {
    const mark = {
      none: "no check",
      good: paint.green("check good"),
      bad: paint.red("check BAD"),
      cut: paint.red("cut off"),
    };
    const doubts = block.doubtful.length === 0 ? "" : `, ${block.doubtful.length} doubtful`;
    const fields = block.fields.map(({ name, value }) => `, ${name} ${hex(value, 4)}`).join("");
    const text = `Block ${block.number} at ${block.startSeconds.toFixed(2)} s: ${block.length} bytes${fields}, ${mark[block.check]}${doubts}.`;
    lines.push("", ...wrap(text));
    if (block.repair !== undefined) {
      const { offset, from, to, rivals } = block.repair;
      const others = rivals === 0 ? "" : ` (${rivals} other single bits would do as well)`;
      const done = isRepaired ? "was changed" : "would make the check good if changed";
      lines.push(
        ...wrap(`Byte ${offset}, read as ${hex(from, 2)}, ${done} to ${hex(to, 2)}${others}.`, "  "),
      );
    }
    for (const { offset, startSeconds, value, confidence, alternatives } of block.doubts.slice(
      0,
      shownDoubts,
    )) {
      const others = alternatives
        .map((other) => `${hex(other.value, 2)} ${percent(other.probability)}`)
        .join(", ");
      lines.push(
        `  byte ${offset} at ${startSeconds.toFixed(3)} s: ${hex(value, 2)} ${percent(confidence)}, or ${others}`,
      );
    }
    if (block.doubtful.length > shownDoubts) lines.push(`  and ${block.doubtful.length - shownDoubts} more`);
  }
  if (doubtful.length === 0 && blocks.every(({ check }) => check === "good" || check === "none"))
    lines.push("", "No byte is doubtful.");
  return lines;
}

/** What was learned of a recording, for people. */
export function renderLearned(
  { verdict, classes, evidence, scheme, bytes }: LearnedTape,
  paint: Paint,
): string[] {
  const titles = {
    data: "This looks like data.",
    unclear: "This may be data, but no scheme fits.",
    "not-data": "This is not data.",
  };
  const lines = [paint.bold(titles[verdict])];
  if (scheme !== undefined) lines.push(`${scheme.title}; ${bytes} bytes read with it.`);
  if (classes.length > 0) lines.push("", "Lengths of half-waves:");
  for (const { microseconds, count, scatter } of classes)
    lines.push(`  ${microseconds.toFixed(0)} µs, ${count} times, scatter ${(100 * scatter).toFixed(1)} %`);
  lines.push("", "What speaks for it:");
  for (const { what, confidence } of evidence) lines.push(...wrap(what, `  ${percent(confidence)}  `));
  return lines;
}

/** Margins of a loader, for people. */
export function renderMargins(title: string, margins: TapeMargins): string[] {
  return [
    `${title}: still loads with one thing at a time as far off as this.`,
    `  speed      ${signed(margins.slowestPercent)} % to ${signed(margins.fastestPercent)} %`,
    `  level      down to ${margins.quietestDecibel} dB`,
    `  noise      ${margins.noiseDecibel} dB below the signal`,
    `  threshold  ${margins.thresholdLowPercent} % to ${margins.thresholdHighPercent} % of its length`,
  ];
}

function signed(value: number): string {
  return `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(Number.isInteger(value) ? 0 : 2)}`;
}

function hex(value: number, digits: number): string {
  return value.toString(16).toUpperCase().padStart(digits, "0");
}
