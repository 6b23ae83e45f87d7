import { nearestName } from "../../core/base/nearest.js";
import { type CaseEntry, entrySchema } from "../../core/find/case/case.js";
import { memoryVerdicts } from "../../core/find/evidence/looks-memory.js";
import { partNamed } from "../../core/find/evidence/place-name.js";
import { selfTestEntry } from "../../core/find/practice/step.js";
import { eventKinds } from "../../core/find/priors/events.js";
import type { ListedSymptom } from "../list-symptoms.js";
import { type Command, commandNames, readCommand } from "./command.js";
import type { LineContext, Misread } from "./context.js";
import { findPlace } from "./place.js";
import { readReading } from "./reading.js";
import { partWords, resultWords, workWords } from "./words.js";
import { readWork } from "./work.js";

const longestLine = 1000;

/** What a line means. */
export type LineMeaning =
  | { readonly kind: "entry"; readonly entry: CaseEntry }
  | { readonly kind: "command"; readonly command: Command }
  | ({ readonly kind: "misread" } & Misread);

/**
 * Reads one line as a person types it at the bench: a reading (`U12.6 pulsing`, `+5V 4.62`, `U4.7-U9.3 rings`,
 * `+12V ripple 0.3 V`, `U7 hot`), work (`U3 swapped no change`, `U9.2 lifted AB3 freed`), a symptom id, `gate passed`,
 * `note ...`, or a command (`undo`, `why U12`, `save FILE`). Never throws on any text.
 */
export function readLine(line: string, context: LineContext): LineMeaning {
  const words = line
    .trim()
    .split(/\s+/)
    .map((word) => word.replace(/(?<=.)[,;]$/, ""));
  const [first = ""] = words;
  if (line.length > longestLine) return misread(`the line is longer than ${longestLine} characters`);
  if (first === "") return misread("the line is empty", "Type a reading, an answer's letter, or 'help'.");
  const command = readCommand(words);
  if (command !== undefined)
    return "message" in command ? { kind: "misread", ...command } : { kind: "command", command };
  const statement = readStatement(words, line, context);
  if ("message" in statement) return { kind: "misread", ...statement };
  const checked = entrySchema.safeParse(statement);
  if (checked.success) return { kind: "entry", entry: checked.data };
  const [issue] = checked.error.issues;
  return misread(issue === undefined ? "the line makes no entry" : impossible(issue, statement));
}

function misread(message: string, hint?: string): LineMeaning {
  return { kind: "misread", message, ...(hint === undefined ? {} : { hint }) };
}

function readStatement(words: readonly string[], line: string, context: LineContext): CaseEntry | Misread {
  const [first = "", ...rest] = words;
  switch (first.toLowerCase()) {
    case "gate":
      return readGate(rest);
    case "note":
      return { kind: "note", text: line.trim().slice("note".length).trim() };
    case "symptom":
      return readSymptom(rest[0] ?? "", context.symptoms);
    case "event":
      return readEvent(rest, context);
    case "characters":
      return { kind: "characters", right: rest[0] ?? "", wrong: rest[1] ?? "" };
    case "self-test":
      return readSelfTest(rest, context);
    case "other":
      if (rest[0]?.toLowerCase() === "supply") return readOtherSupply(rest.slice(1));
  }
  if (words.length === 1 && context.symptoms.some(({ id }) => id === first))
    return { kind: "symptom", what: first };
  const lone = workWords.get(first.toLowerCase());
  if (lone === "warmed" || lone === "cooled" || lone === "flexed")
    return readWork(undefined, lone, rest, context.circuit);
  const isOfPart = rest.some(
    (word) => workWords.has(word.toLowerCase()) || partWords.has(word.toLowerCase()),
  );
  const found = findPlace(context.circuit, words, isOfPart ? "part" : "net");
  if ("message" in found) return withCommands(found, first, context);
  const tail = words.slice(found.words);
  const work = workWords.get((tail[0] ?? "").toLowerCase());
  if (work !== undefined) return readWork(found, work, tail.slice(1), context.circuit);
  return readReading(found, tail, context);
}

/** A line that begins with no place may have meant a command or a symptom just as well. */
function withCommands(found: Misread, first: string, { symptoms }: LineContext): Misread {
  const near = nearestName(first, [...commandNames, ...symptoms.map(({ id }) => id)]);
  if (near !== undefined) return { message: found.message, hint: `Did you mean '${near}'?` };
  return { hint: "'help' shows what can be typed.", ...found };
}

function readGate(words: readonly string[]): CaseEntry | Misread {
  const state = words.at(-1)?.toLowerCase();
  if (state === "passed" || state === "failed") return { kind: "gate", id: "supply", state };
  return { message: "the gate is either passed or failed", hint: "Type 'gate passed' or 'gate failed'." };
}

/** `self-test good`, `self-test silent`, `self-test lines`, or the chips it names: `self-test U15`. */
function readSelfTest(words: readonly string[], { circuit }: LineContext): CaseEntry | Misread {
  const hint = "For example: self-test U15, self-test good, self-test lines, self-test silent.";
  const [first = ""] = words;
  if (first === "") return { message: "what the self-test said is missing", hint };
  if (words.length === 1 && memoryVerdicts.some((verdict) => verdict === first.toLowerCase()))
    return selfTestEntry(first.toLowerCase());
  const parts: { part: string }[] = [];
  for (const word of words) {
    const place = partNamed(circuit, word);
    if ("message" in place) return { message: place.message, hint: place.hint ?? hint };
    parts.push({ part: place.label });
  }
  return { kind: "memory-test", by: "self-test", verdict: "causes", causes: [{ share: 1, parts }] };
}

function readSymptom(id: string, symptoms: readonly ListedSymptom[]): CaseEntry | Misread {
  if (symptoms.some((symptom) => symptom.id === id)) return { kind: "symptom", what: id };
  const near = nearestName(
    id,
    symptoms.map((symptom) => symptom.id),
  );
  return {
    message: `there is no symptom called '${id}' on this board`,
    hint: near === undefined ? "'symptoms' lists them." : `Did you mean '${near}'?`,
  };
}

function readEvent(
  [what = "", place, ...more]: readonly string[],
  { circuit }: LineContext,
): CaseEntry | Misread {
  const kind = eventKinds.find((known) => known === what);
  if (kind === undefined) {
    const near = nearestName(what, eventKinds);
    const hint = near === undefined ? `Known events: ${eventKinds.join(", ")}.` : `Did you mean '${near}'?`;
    return { message: `there is no event called '${what}'`, hint };
  }
  const before = [place, ...more].at(-1)?.toLowerCase() === "before" ? { before: true } : {};
  if (place === undefined || place.toLowerCase() === "before") return { kind: "event", what, ...before };
  const found = findPlace(circuit, [place], "part");
  if ("message" in found) return found;
  return { kind: "event", what, part: found.place.label, ...before };
}

function readOtherSupply(words: readonly string[]): CaseEntry | Misread {
  const result = resultWords.get(words.join(" ").toLowerCase().replace("no change", "unchanged"));
  if (result !== undefined) return { kind: "other-supply", result };
  return { message: "what came of the other supply is missing", hint: "Add fixed, changed or no change." };
}

/** One clear sentence for a value that cannot be. */
function impossible(issue: { path: PropertyKey[]; message: string }, statement: object): string {
  const field = String(issue.path.at(-1) ?? "");
  const value: unknown = Reflect.get(statement, field);
  const names: Readonly<Record<string, string>> = {
    volts: "V",
    rippleVolts: "V of ripple",
    ohms: "ohm",
    hertz: "Hz",
    amperes: "A",
    degreesCelsius: "°C",
    minutesSincePowerOn: "minutes",
  };
  const unit = names[field];
  return unit === undefined
    ? `the ${field} of this entry is missing or not possible`
    : `${String(value)} ${unit} is not possible here`;
}
