import type { Board } from "../../src/core/board/board.js";
import type { PartType } from "../../src/core/board/part-type.js";
import { type CaseEntry, entrySchema } from "../../src/core/find/case/case.js";
import { fits, type History, type HistoryPhrases, type PlacePhrase } from "./vocabulary.js";

/** The board the words are about. */
export interface Bench {
  readonly board: Board;
  readonly typeOf: (name: string) => PartType | undefined;
}

/** What one step of a history becomes. */
export interface StepEntries {
  readonly entries: readonly CaseEntry[];
  /** Parts that were exchanged, and what became of the machine; undefined for a reading. */
  readonly swapped?: {
    readonly parts: readonly string[];
    readonly result: "fixed" | "changed" | "unchanged";
  };
}

type Step = History["readings"][number];

/** The symptoms of a history before the first repair; `later` and `unmatched` are counted. */
export function symptomEntries(
  history: History,
  phrases: HistoryPhrases,
  has: (symptom: string) => boolean,
): { readonly entries: CaseEntry[]; readonly later: string[]; readonly unmatched: string[] } {
  const later: string[] = [];
  const unmatched: string[] = [];
  const ids: string[] = [];
  for (const symptom of history.symptoms) {
    if (phrases.later.some((word) => symptom.toLowerCase().startsWith(word))) {
      later.push(symptom);
      continue;
    }
    const rule = phrases.symptoms.find(({ phrase }) => fits(phrase, symptom));
    const known = (rule?.ids ?? []).filter(has);
    if (known.length === 0) unmatched.push(symptom);
    ids.push(...known);
  }
  return {
    entries: [...new Set(ids)].map((what) => entrySchema.parse({ kind: "symptom", what })),
    later,
    unmatched,
  };
}

/** Turns a step into log entries; none if its words say nothing to us, or its place is not on the board. */
export function stepEntries(step: Step, phrases: HistoryPhrases, bench: Bench): StepEntries {
  const own = ruleEntries(step, phrases, bench);
  if (own.length > 0) return { entries: own };
  if (step.kind === "rail_volts") return { entries: railEntries(step, bench.board) };
  if (step.kind === "swap" || step.kind === "reseat") return swapEntries(step, phrases, bench);
  return { entries: [] };
}

function ruleEntries(step: Step, phrases: HistoryPhrases, bench: Bench): CaseEntry[] {
  const subject = `${step.what} ${step.where}`;
  const rule = phrases.readings.find(
    (one) =>
      one.kinds.includes(step.kind) &&
      (one.subject === undefined || fits(one.subject, subject)) &&
      (one.result === undefined || fits(one.result, step.result)),
  );
  if (rule === undefined) return [];
  const parts = placesNamed(step, phrases, bench);
  const clock = clockNet(bench);
  return rule.gives.flatMap((template) => {
    const text = JSON.stringify(template);
    if (text.includes("$clock") && clock === undefined) return [];
    // That something failed means one of several; that they passed means all of them.
    const isOne = /"(fail|named|damage|hot)"/.test(text);
    const named = !text.includes("$part") ? [""] : isOne ? parts.slice(0, 1) : parts;
    return named.map((part) =>
      entrySchema.parse(JSON.parse(text.replaceAll("$part", part).replaceAll("$clock", `net:${clock}`))),
    );
  });
}

/** Parts a step is about, by the words for where, else for what. */
function placesNamed(step: Step, phrases: HistoryPhrases, bench: Bench): string[] {
  for (const text of [step.where, step.what]) {
    for (const place of phrases.places) {
      if (!fits(place.phrase, text)) continue;
      const found = partsAt(place, bench);
      if (found.length > 0) return found;
    }
  }
  return [];
}

/** Parts of the board that a phrase means. */
export function partsAt(place: PlacePhrase, { board, typeOf }: Bench): string[] {
  const found = board.parts.filter(({ type, section }) => {
    const family = typeOf(type)?.family;
    return (
      (place.families === undefined || place.families.some((one) => one === family)) &&
      (place.sections === undefined || place.sections.includes(section)) &&
      (place.types === undefined || place.types.some((text) => type.includes(text)))
    );
  });
  return found.slice(0, place.whole === true ? found.length : 1).map(({ ref }) => ref);
}

function clockNet({ board, typeOf }: Bench): string | undefined {
  const cpu = board.parts.find(({ ref }) => ref === board.processor);
  const type = cpu === undefined ? undefined : typeOf(cpu.type);
  if (type === undefined || type.pins === "as-board" || type.behaviour.kind !== "processor") return undefined;
  const [name] = type.behaviour.clock;
  const pin = type.pins.find((one) => one.name === name);
  return pin === undefined ? undefined : cpu?.pins[pin.number];
}

const goodWords = ["good", "steady", "present", "normal", "right"];
const badWords = ["missing", "absent", "nothing", "off", "dead"];

/** Rails and their states: clause by clause, volts by number, else by word. */
function railEntries(step: Step, board: Board): CaseEntry[] {
  const rails = board.rails.filter(({ raw, net }) => raw !== true && /^[+-]\d+V$/.test(net));
  const railsIn = (text: string): string[] =>
    rails
      .filter(({ nominalVolt }) => new RegExp(`(^|[^0-9.+-])${volts(nominalVolt)} ?V`).test(text))
      .map(({ net }) => net);
  const entries: CaseEntry[] = [];
  for (const clause of step.result.split(/[;,]/)) {
    const named = railsIn(clause);
    const subject = named.length > 0 ? named : railsIn(`${step.what} ${step.where}`);
    const nets = subject.length > 0 ? subject : /rails/.test(step.what) ? rails.map(({ net }) => net) : [];
    const measured = named.length > 0 ? undefined : /^\s*([+-]?\d+(?:\.\d+)?) ?V/.exec(clause)?.[1];
    const isBad = badWords.some((word) => clause.includes(word));
    const isGood = goodWords.some((word) => clause.includes(word));
    for (const net of nets) {
      const nominal = rails.find((rail) => rail.net === net)?.nominalVolt ?? 5;
      const value = measured !== undefined ? Number(measured) : isBad ? 0 : isGood ? nominal : undefined;
      if (value !== undefined)
        entries.push({ kind: "reading", at: `rail:${net}`, with: "multimeter", volts: value });
    }
  }
  return entries;
}

function volts(nominal: number): string {
  return nominal > 0 ? `\\+?${nominal}` : `-${-nominal}`;
}

function swapEntries(step: Step, phrases: HistoryPhrases, bench: Bench): StepEntries {
  const parts = placesNamed(step, phrases, bench);
  const result = phrases.results.find(({ phrase }) => fits(phrase, step.result))?.means;
  if (parts.length === 0 || result === undefined) return { entries: [] };
  const what = step.kind === "reseat" ? "reseated" : "replaced";
  // Of several parts exchanged together the last shows what became of the machine.
  const entries = parts.map((part, i): CaseEntry => {
    const isLast = i === parts.length - 1;
    return { kind: "repair", part, what, ...(isLast || result === "unchanged" ? { result } : {}) };
  });
  return { entries, swapped: { parts, result } };
}
