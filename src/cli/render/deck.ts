import type { DeckAdvice } from "../../app/deck-advice.js";
import type { FoundBelt } from "../../app/deck-belt.js";
import type { MeasuredDeck } from "../../app/deck-measure.js";
import type { CareList } from "../../core/deck/care.js";
import type { FlutterCause } from "../../core/deck/rotation.js";
import { type Paint, padEnd, padStart, wrap } from "../text.js";

const gradeWords = { good: "good", fair: "fair", poor: "needs service" } as const;
const quantityWords: Readonly<Record<string, string>> = {
  "speed-error": "Speed error, worst stretch",
  "flutter-weighted-peak": "Wow and flutter, weighted peak",
  "flutter-weighted-rms": "Wow and flutter, weighted rms",
  "dropouts-per-minute": "Dropouts",
  "level-spread": "Level, spread",
  "channel-balance": "Channels, balance",
  azimuth: "Head, tilt",
};
const kindWords = {
  standard: "a standard",
  maker: "a maker's manual",
  "common-practice": "common practice, no source",
} as const;

/** A measured deck, for people. */
export function renderDeck(measured: MeasuredDeck, advice: DeckAdvice, paint: Paint): string[] {
  const { reading, verdict } = measured;
  const { speed, flutter, noise, azimuth, response } = reading;
  const lines = [
    paint.bold(
      `Tone of ${reading.toneHz} Hz heard as ${reading.measuredHz.toFixed(2)} Hz over ${(reading.toneEndSeconds - reading.toneStartSeconds).toFixed(1)} s`,
    ),
    "",
    row("Speed error", `${signed(speed.meanRatio)} %`),
    row(
      "  start, middle, end",
      `${signed(speed.startRatio)}, ${signed(speed.middleRatio)}, ${signed(speed.endRatio)} %`,
    ),
  ];
  if (flutter !== undefined) {
    lines.push(
      row("Wow and flutter, weighted peak", `±${share(flutter.weightedPeakRatio)} %  (IEC 60386, AES6)`),
      row("  unweighted peak", `±${share(flutter.unweightedPeakRatio)} %`),
      row("  weighted rms", `${share(flutter.weightedRmsRatio)} %  (NAB, JIS)`),
    );
  }
  lines.push(
    row("Dropouts", String(reading.dropouts.length)),
    row(
      "Level",
      `${reading.level.channelDecibel.map((level) => level.toFixed(1)).join(" / ")} dB, spread ${reading.level.spreadDecibel.toFixed(1)} dB`,
    ),
  );
  if (noise !== undefined) {
    lines.push(
      row(
        "Hum, noise against the tone",
        `${noise.humDecibel.toFixed(0)} dB at ${noise.mainsHz} Hz, ${noise.noiseDecibel.toFixed(0)} dB`,
      ),
    );
  }
  if (azimuth !== undefined) {
    const tilt = azimuth.tilt === undefined ? "not to be seen" : `${azimuth.tilt.minutes.toFixed(1)} minutes`;
    lines.push(row("Head, tilt", azimuth.isSameSignal ? "both channels are one signal" : tilt));
  }
  if (response.length > 1) {
    lines.push("", "Response");
    for (const { hz, relativeDecibel } of response)
      lines.push(
        `  ${padStart(hz.toFixed(0), 6)} Hz  ${relativeDecibel.map((level) => padStart(level.toFixed(1), 6)).join(" ")} dB`,
      );
  }
  if (reading.peaks.length > 0) {
    lines.push("", "What flutters");
    for (const { hz, depthRatio, causes } of reading.peaks.slice(0, 8))
      lines.push(
        `  ${padStart(hz.toFixed(2), 7)} Hz  ${padStart(share(depthRatio), 6)} %  ${causeWords(causes)}`,
      );
  }
  lines.push(
    "",
    ...wrap(
      `Judged by ${verdict.set.id}: ${verdict.set.title} (${kindWords[verdict.set.kind]}), good up to / poor above`,
    ),
  );
  for (const { quantity, value, unit, good, poor, grade } of verdict.judgements) {
    const mark = gradeWords[grade];
    const shown = grade === "good" ? paint.green(mark) : grade === "poor" ? paint.red(mark) : mark;
    lines.push(
      `  ${padEnd(quantityWords[quantity] ?? quantity, 31)} ${padStart(value.toFixed(3), 8)} ${padEnd(unit, 7)} ${shown} (${good} / ${poor})`,
    );
  }
  for (const text of advice.sentences) lines.push("", ...wrap(text));
  return lines;
}

function row(name: string, value: string): string {
  return `${padEnd(name, 33)}${value}`;
}

function signed(ratio: number): string {
  const percent = 100 * ratio;
  return `${percent < 0 ? "−" : "+"}${Math.abs(percent).toFixed(2)}`;
}

function share(ratio: number): string {
  return (100 * ratio).toFixed(3);
}

function causeWords(causes: readonly FlutterCause[]): string {
  const [first] = causes;
  if (first === undefined) return "";
  const often = first.harmonic === 1 ? "" : `, ${first.harmonic} times a turn`;
  return first.isUsual ? `may be the ${first.part} (usual size)` : `${first.part}${often}`;
}

/** A belt, for people. */
export function renderBelt(belt: FoundBelt): string[] {
  const { innerMillimetres: inner, innerDiameterMillimetres: across, rule, section } = belt;
  const percent = (ratio: number): string => (100 * ratio).toFixed(0);
  const why =
    rule.of === "stretch"
      ? `A ${section} belt is ordered shorter than its path, so that it is stretched by ${percent(rule.ratio.low)} to ${percent(rule.ratio.high)} %`
      : `An old belt has grown by ${percent(rule.ratio.low)} to ${percent(rule.ratio.high)} %`;
  return [
    ...(belt.pathMillimetres === undefined
      ? []
      : [row("Path round the pulleys", `${belt.pathMillimetres.toFixed(1)} mm`)]),
    row(
      "Inner length to order",
      `${inner.usual.toFixed(0)} mm (${inner.low.toFixed(0)} to ${inner.high.toFixed(0)})`,
    ),
    row(
      "  as an inner diameter",
      `${across.usual.toFixed(1)} mm (${across.low.toFixed(1)} to ${across.high.toFixed(1)})`,
    ),
    row("Section", `${section}, as thick as the old one`),
    ...(belt.correctedPulleyMillimetres === undefined
      ? []
      : [row("Motor pulley for the right speed", `${belt.correctedPulleyMillimetres.toFixed(2)} mm`)]),
    "",
    ...wrap(`${why} (common practice, no source).`),
  ];
}

/** The steps of a task, for people; cautions stand before what they warn of. */
export function renderCare({ title, steps }: CareList, paint: Paint): string[] {
  const lines = [paint.bold(title), ""];
  for (const [i, { caution, text }] of steps.entries()) {
    if (caution !== undefined) lines.push(...wrap(caution, "   ! "));
    lines.push(...wrap(text, `${padStart(String(i + 1), 2)} `));
  }
  return lines;
}
