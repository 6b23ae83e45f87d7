import { hex } from "../../base/hex.js";
import { beaconUnits, messageCopies, type Signal, signalsOf, type Verdict } from "./beacon.js";
import type { PortBeacon, SelfTestPlan } from "./plan.js";
import { meaningOf } from "./verdict-parts.js";
import { verdictsOf } from "./verdicts.js";

/** One line of the sheet's table. */
export interface SheetRow {
  readonly signals: readonly Signal[];
  readonly verdict: Verdict;
  /** `data bit 3`. */
  readonly title: string;
  /** Parts to look at, the likeliest first. */
  readonly parts: readonly string[];
}

/** What lies beside the machine while its self-test runs. */
export interface Sheet {
  readonly title: string;
  readonly cautions: readonly string[];
  /** Where the chip goes and where the probe. */
  readonly steps: readonly string[];
  /** How the code is read. */
  readonly reading: readonly string[];
  /** In order of the number of signals, then of the number they spell. */
  readonly rows: readonly SheetRow[];
  readonly limits: readonly string[];
}

const cautions = [
  "Measure the supply without the chips first; power off and unplugged before a chip goes into or out of its socket.",
  "A monitor or television holds dangerous voltage for long after it is switched off: leave it closed.",
  "The ultraviolet light of an EPROM eraser burns eyes and skin: keep it closed, and switch it off before you open it.",
  "Discharge yourself before handling chips, and mind pin 1: a chip put in the wrong way round is destroyed.",
  "Where mains is involved, local rules and a qualified person come first.",
];

/** The sheet of a board. `goodSeconds` is the time from power-on until a good machine has said so, if it is known. */
export function sheetOf(plan: SelfTestPlan, goodSeconds?: number): Sheet {
  const { rom, bus, unitSeconds, banks } = plan;
  const seconds = (units: number): string => `${Math.round(units * unitSeconds * 100) / 100} s`;
  const rows = verdictsOf(plan).map(
    (verdict): SheetRow => ({ signals: signalsOf(verdict), verdict, ...meaningOf(plan, verdict) }),
  );
  rows.sort((a, b) => a.signals.length - b.signals.length || numberOf(a.signals) - numberOf(b.signals));
  const wait =
    goodSeconds === undefined
      ? ""
      : ` A good machine has said so about ${Math.ceil(goodSeconds)} s after power-on.`;
  return {
    title: `Self-test ROM for ${plan.title}`,
    cautions,
    steps: [
      `Keep the chip of ${rom.part} (${rom.type}) aside and put the self-test in its socket.`,
      `Logic probe, or a light-emitting diode with its resistor, on ${bus.part} pin ${bus.pin}: ${bus.title}. It pulses while a signal is on; between messages, while memory is tested, it may flicker or be still.`,
      `Why this line: ${bus.why}.`,
      ...plan.ports.map(portStep),
      ...(plan.screen === undefined
        ? []
        : [
            `Screen: ${plan.screen.characters === undefined ? "a band carries the same signals" : "words follow each message"} (${plan.screen.title}).`,
          ]),
    ],
    reading: [
      `A message begins with a start mark of ${seconds(beaconUnits.start)}. Then the same signals come ${messageCopies} times: short is ${seconds(beaconUnits.short)}, long ${seconds(beaconUnits.long)}.`,
      `Count the signals of one copy, and find them below. Short is 0 and long is 1, the highest bit first.`,
      `If more than one thing is bad, each has a message of its own, with its own start mark.${wait}`,
      "What has failed once is reported in every later round: let it run for hours, warm and cool.",
      `No signal at all: the processor does not run. Look at supply, clock, reset, ${rom.part}, and what can hold the buses.`,
    ],
    rows,
    limits: [
      `Tested: ${banks.map(({ ranges }) => ranges.map(({ from, to }) => `${hex(from)}-${hex(to)}`).join(", ")).join("; ")}.`,
      "Two data lines in one report can be bridged to each other; so can two address lines.",
      "A verdict is evidence, no proof: what stands between chip and processor is named behind the chip.",
    ],
  };
}

function portStep({ medium, title }: PortBeacon): string {
  const how = { sound: "can be heard", light: "lights", picture: "changes the picture" }[medium];
  return `At the same time: ${title.charAt(0).toLowerCase()}${title.slice(1)} (${how}).`;
}

/** Signals in words: `short, long, long`. */
export function signalWords(signals: readonly Signal[]): string {
  return signals.join(", ");
}

/** The sheet as plain text, 100 columns or fewer. */
export function renderSheetText(sheet: Sheet): string {
  const list = (texts: readonly string[]): string[] => texts.flatMap((text) => fold(text, "- "));
  const lines = [
    sheet.title,
    "=".repeat(sheet.title.length),
    ...["", "Cautions"],
    ...list(sheet.cautions),
    ...["", "Where"],
    ...list(sheet.steps),
    ...["", "How to read it"],
    ...list(sheet.reading),
    ...["", "What it says"],
    ...sheet.rows
      .map(
        ({ signals, title, parts }) =>
          `${marks(signals).padEnd(markColumns)}${signalWords(signals)}: ${[title, ...parts].join(", ")}`,
      )
      .flatMap((text) => fold(text, "", " ".repeat(markColumns))),
    "",
    ...list(sheet.limits),
  ];
  return `${lines.join("\n")}\n`;
}

/** The sheet as a page that prints on paper: one HTML file without anything from elsewhere. */
export function renderSheetHtml(sheet: Sheet): string {
  const list = (texts: readonly string[]): string =>
    `<ul>\n${texts.map((text) => `<li>${escaped(text)}</li>`).join("\n")}\n</ul>`;
  const rows = sheet.rows.map(
    ({ signals, title, parts }) =>
      `<tr><td>${drawing(signals)}</td><td>${signalWords(signals)}</td><td>${escaped(title)}</td><td>${escaped(parts.join(", "))}</td></tr>`,
  );
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>${escaped(sheet.title)}</title>
<style>
body { font: 11pt/1.35 sans-serif; margin: 2em; max-width: 60em; }
table { border-collapse: collapse; }
td, th { border-bottom: 1px solid #999; padding: 0.15em 0.8em 0.15em 0; text-align: left; vertical-align: top; }
tr { break-inside: avoid; }
svg { display: block; height: 1em; }
.cautions { border: 2px solid; padding: 0 1em; }
</style>
</head>
<body>
<h1>${escaped(sheet.title)}</h1>
<div class="cautions">
<h2>Cautions</h2>
${list(sheet.cautions)}
</div>
<h2>Where</h2>
${list(sheet.steps)}
<h2>How to read it</h2>
${list(sheet.reading)}
<h2>What it says</h2>
<table>
<tr><th></th><th>signals</th><th>meaning</th><th>parts</th></tr>
${rows.join("\n")}
</table>
${list(sheet.limits)}
</body>
</html>
`;
}

function drawing(signals: readonly Signal[]): string {
  let at = 0;
  const bars = signals.map((signal) => {
    const width = beaconUnits[signal] * 6;
    const bar = `<rect x="${at}" y="2" width="${width}" height="8"/>`;
    at += width + 6;
    return bar;
  });
  return `<svg viewBox="0 0 ${at} 12" role="img" aria-label="${signalWords(signals)}">${bars.join("")}</svg>`;
}

function marks(signals: readonly Signal[]): string {
  return signals.map((signal) => (signal === "long" ? "--" : ".")).join(" ");
}

function numberOf(signals: readonly Signal[]): number {
  return signals.reduce((number, signal) => number * 2 + (signal === "long" ? 1 : 0), 0);
}

const columns = 100;
/** Six long signals and a blank behind them. */
const markColumns = 18;

function fold(text: string, bullet: string, indent = " ".repeat(bullet.length)): string[] {
  const lines: string[] = [];
  let line = bullet;
  let isEmpty = true;
  for (const word of text.split(/(?<=\S) (?=\S)/)) {
    if (!isEmpty && line.length + 1 + word.length > columns) {
      lines.push(line);
      line = indent;
      isEmpty = true;
    }
    line += isEmpty ? word : ` ${word}`;
    isEmpty = false;
  }
  return [...lines, line];
}

function escaped(text: string): string {
  return text
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;");
}
