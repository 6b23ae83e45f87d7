import type { Instrument } from "../../core/find/case/case.js";

/** A map, not an object: a typed word may be the name of anything. */
function table<T>(entries: Readonly<Record<string, T>>): ReadonlyMap<string, T> {
  return new Map(Object.entries(entries));
}

/** Words for instruments, as people type them. */
export const instrumentWords: ReadonlyMap<string, Instrument> = table({
  multimeter: "multimeter",
  meter: "multimeter",
  dmm: "multimeter",
  "logic-probe": "logic-probe",
  probe: "logic-probe",
  oscilloscope: "oscilloscope",
  scope: "oscilloscope",
  thermometer: "thermometer",
  finger: "finger",
  eye: "eye",
  twin: "twin",
  "chip-tester": "chip-tester",
  tester: "chip-tester",
  "test-program": "test-program",
  "bench-supply": "bench-supply",
  "chip-programmer": "chip-programmer",
  programmer: "chip-programmer",
});

/** What a number measures, by its unit, with the factor to the unit the log keeps. */
export interface Unit {
  readonly quantity: "volts" | "ohms" | "hertz" | "amperes" | "degreesCelsius";
  readonly factor: number;
}

const unit = (quantity: Unit["quantity"], factor: number): Unit => ({ quantity, factor });

/** Units by the way they are written; case counts only where `m` and `M` differ. */
export const units: ReadonlyMap<string, Unit> = table({
  V: unit("volts", 1),
  mV: unit("volts", 1e-3),
  volt: unit("volts", 1),
  volts: unit("volts", 1),
  ohm: unit("ohms", 1),
  ohms: unit("ohms", 1),
  Ω: unit("ohms", 1),
  R: unit("ohms", 1),
  k: unit("ohms", 1e3),
  kohm: unit("ohms", 1e3),
  kΩ: unit("ohms", 1e3),
  M: unit("ohms", 1e6),
  Mohm: unit("ohms", 1e6),
  MΩ: unit("ohms", 1e6),
  Hz: unit("hertz", 1),
  kHz: unit("hertz", 1e3),
  MHz: unit("hertz", 1e6),
  A: unit("amperes", 1),
  mA: unit("amperes", 1e-3),
  ampere: unit("amperes", 1),
  amperes: unit("amperes", 1),
  C: unit("degreesCelsius", 1),
  "°C": unit("degreesCelsius", 1),
  degrees: unit("degreesCelsius", 1),
});

/** Words for what an instrument shows, with the word the log keeps. */
export const shownWords: ReadonlyMap<string, string> = table({
  low: "low",
  lo: "low",
  high: "high",
  hi: "high",
  pulsing: "pulsing",
  pulses: "pulsing",
  toggling: "pulsing",
  toggles: "pulsing",
  floating: "floating",
  floats: "floating",
  neither: "floating",
  "between-levels": "between-levels",
  between: "between-levels",
  fighting: "between-levels",
  "wrong-rate": "wrong-rate",
  absent: "absent",
  "too-low": "too-low",
  "too-high": "too-high",
  good: "good",
  smooth: "smooth",
  rippled: "rippled",
  short: "short",
  shorted: "short",
  normal: "normal",
  open: "open",
  rings: "rings",
  silent: "open",
  same: "same",
  different: "different",
  hot: "hot",
  warm: "normal",
  cool: "normal",
  cold: "normal",
  clean: "clean",
  damage: "damage",
  damaged: "damage",
  burnt: "damage",
  cracked: "damage",
  corroded: "damage",
  pass: "pass",
  passes: "pass",
  fail: "fail",
  fails: "fail",
  named: "named",
  "not-named": "not-named",
  nothing: "nothing",
  "rear-left": "rear-left",
  "rear-middle": "rear-middle",
  "rear-right": "rear-right",
  "front-left": "front-left",
  "front-middle": "front-middle",
  "front-right": "front-right",
});

/** Words that only a part, no line, can show. */
export const partWords: ReadonlySet<string> = new Set([
  "hot",
  "warm",
  "cool",
  "clean",
  "damage",
  "damaged",
  "burnt",
  "cracked",
  "corroded",
  "pass",
  "passes",
  "fail",
  "fails",
  "named",
  "not-named",
]);

/** What a piece of work on a part is called. */
export type Work =
  | "swapped"
  | "replaced"
  | "resoldered"
  | "cleaned"
  | "reseated"
  | "piggybacked"
  | "removed"
  | "warmed"
  | "cooled"
  | "flexed";

/** Words for work on a part. */
export const workWords: ReadonlyMap<string, Work> = table({
  swapped: "swapped",
  swap: "swapped",
  replaced: "replaced",
  resoldered: "resoldered",
  cleaned: "cleaned",
  reseated: "reseated",
  piggybacked: "piggybacked",
  piggyback: "piggybacked",
  removed: "removed",
  pulled: "removed",
  lifted: "removed",
  out: "removed",
  warmed: "warmed",
  heated: "warmed",
  cooled: "cooled",
  frozen: "cooled",
  flexed: "flexed",
  pressed: "flexed",
});

/** Words for what came of work. */
export const resultWords: ReadonlyMap<string, "fixed" | "changed" | "unchanged"> = table({
  fixed: "fixed",
  works: "fixed",
  cured: "fixed",
  changed: "changed",
  unchanged: "unchanged",
  same: "unchanged",
  nothing: "unchanged",
});

/** Words for what warming, cooling or flexing did. */
export const provokedWords: ReadonlyMap<string, "appears" | "vanishes" | "unchanged"> = table({
  appears: "appears",
  worse: "appears",
  vanishes: "vanishes",
  better: "vanishes",
  unchanged: "unchanged",
  same: "unchanged",
  nothing: "unchanged",
});

/** Words for what a watched line did when a part or leg was taken out. */
export const watchedWords: ReadonlyMap<string, "freed" | "unchanged"> = table({
  freed: "freed",
  free: "freed",
  unchanged: "unchanged",
  same: "unchanged",
});
