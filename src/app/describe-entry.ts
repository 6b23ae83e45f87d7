import type { CaseEntry, Instrument, ReadingEntry } from "../core/find/case/case.js";
import type { ListedSymptom } from "./list-symptoms.js";

/** Instruments and aids as people call them. */
export const instrumentNames: Readonly<Record<Instrument, string>> = {
  multimeter: "multimeter",
  "logic-probe": "logic probe",
  oscilloscope: "oscilloscope",
  thermometer: "thermometer",
  finger: "finger",
  eye: "eye",
  twin: "good twin machine",
  "chip-tester": "chip tester",
  "test-program": "test program",
  "bench-supply": "bench supply",
  "chip-programmer": "chip programmer",
};

const resultWords = { fixed: "fixed it", changed: "changed something", unchanged: "no change" } as const;
const provokedWords = {
  appears: "the fault appears",
  vanishes: "the fault vanishes",
  unchanged: "no change",
} as const;

/** A log entry in one line of plain words, to be read back to whoever entered it. */
export function describeEntry(entry: CaseEntry, symptoms: readonly ListedSymptom[]): string {
  switch (entry.kind) {
    case "gate":
      return `Supply check ${entry.state}`;
    case "symptom":
      return describeSymptom(entry, symptoms);
    case "characters":
      return `Character ${entry.wrong} where ${entry.right} should stand${moment(entry)}`;
    case "reading":
      return describeReading(entry);
    case "swap":
      return `${entry.part} swapped: ${resultWords[entry.result]}`;
    case "repair": {
      const result = entry.result === undefined ? "" : `: ${resultWords[entry.result]}`;
      return `${entry.part} ${entry.what ?? "replaced"}${result}`;
    }
    case "reseat":
      return `${entry.part} reseated: ${resultWords[entry.result]}`;
    case "piggyback":
      return `${entry.part} piggybacked: ${resultWords[entry.result]}`;
    case "removed": {
      const shows = entry.shows === "freed" ? "is free now" : "as before";
      return `${entry.part} taken out, ${entry.at.replace(/^net:/, "")} ${shows}`;
    }
    case "memory-test":
      return `${entry.by === "self-test" ? "Self-test" : "Memory test"}: ${memoryTestWords(entry)}${moment(entry)}`;
    case "other-supply":
      return `Another supply: ${resultWords[entry.result]}`;
    case "warmed":
    case "cooled":
    case "flexed":
      return `${entry.part ?? "Board"} ${entry.kind}: ${provokedWords[entry.result]}`;
    case "event": {
      const place = entry.part === undefined ? "" : ` at ${entry.part}`;
      return `Happened: ${entry.what}${place}${entry.before === true ? ", before it failed" : ""}`;
    }
    case "note":
      return `Note: ${entry.text}`;
    case "photo":
      return `Photo ${entry.file}${entry.of === undefined ? "" : ` of ${entry.of}`}`;
    case "strike":
      return `Entry ${entry.entry} struck out`;
  }
}

const verdictWords = {
  good: "all memory good",
  lines: "a line that several chips share is bad",
  silent: "no sign of life",
} as const;

function memoryTestWords(entry: Extract<CaseEntry, { kind: "memory-test" }>): string {
  if (entry.verdict !== "causes") return verdictWords[entry.verdict];
  const [first] = entry.causes ?? [];
  if (first === undefined) return "causes found";
  return first.title ?? `${first.parts.map(({ part }) => part).join(", ")} named`;
}

function describeSymptom(
  entry: Extract<CaseEntry, { kind: "symptom" }>,
  symptoms: readonly ListedSymptom[],
): string {
  const wording = symptoms.find((symptom) => symptom.id === entry.what)?.wording ?? entry.what;
  const lines = entry.lines === undefined ? "" : ` Dead lines: ${entry.lines.join(", ")}.`;
  return `Symptom: ${wording}${lines}${moment(entry)}`;
}

function describeReading(entry: ReadingEntry): string {
  const values = [
    entry.shows,
    entry.volts === undefined ? undefined : `${entry.volts} V`,
    entry.rippleVolts === undefined ? undefined : `${entry.rippleVolts} V of ripple`,
    entry.ohms === undefined ? undefined : `${entry.ohms} ohm`,
    entry.hertz === undefined ? undefined : `${entry.hertz} Hz`,
    entry.amperes === undefined ? undefined : `${entry.amperes} A`,
    entry.degreesCelsius === undefined ? undefined : `${entry.degreesCelsius} °C`,
  ].filter((value) => value !== undefined);
  const place = entry.at === "board" ? "Whole board" : entry.at.replace(/^(net|rail):/, "");
  const alone = entry.outOfCircuit === true ? ", one leg lifted" : "";
  return `${place} with the ${instrumentNames[entry.with]}: ${values.join(", ")}${alone}${moment(entry)}`;
}

function moment(entry: { when?: string | undefined; minutesSincePowerOn?: number | undefined }): string {
  const when =
    entry.when === undefined ? "" : entry.when === "unpowered" ? " (power off)" : ` (${entry.when})`;
  const minutes = entry.minutesSincePowerOn;
  return minutes === undefined ? when : `${when} (${minutes} min after power-on)`;
}
