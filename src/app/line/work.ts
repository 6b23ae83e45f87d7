import type { CaseEntry } from "../../core/find/case/case.js";
import type { Circuit } from "../../core/find/settle/build.js";
import type { Misread } from "./context.js";
import { type FoundPlace, findPlace } from "./place.js";
import { provokedWords, resultWords, type Work, watchedWords } from "./words.js";

/** Reads what follows a piece of work: what came of it, or for a part taken out, the line watched and what it did. */
export function readWork(
  found: FoundPlace | undefined,
  work: Work,
  rest: readonly string[],
  circuit: Circuit,
): CaseEntry | Misread {
  const result = rest.join(" ").toLowerCase().replace(/^it /, "").replace("no change", "unchanged").trim();
  if (work === "warmed" || work === "cooled" || work === "flexed") return provoked(found, work, result);
  if (found === undefined) return { message: `'${work}' needs a part before it` };
  if (work === "removed") return removed(found, rest, circuit);
  const { place } = found;
  if (place.kind !== "part")
    return {
      message: `only a part can be ${work}, and '${found.at}' is none`,
      hint: "For example: U3 swapped no change.",
    };
  const part = place.label;
  if (result === "" && (work === "replaced" || work === "resoldered" || work === "cleaned"))
    return { kind: "repair", part, what: work };
  const outcome = resultWords.get(result);
  if (outcome === undefined)
    return {
      message:
        result === ""
          ? `what came of it is missing: ${part} ${work}`
          : `'${result}' is nothing that can come of it`,
      hint: "Add fixed, changed or no change.",
    };
  switch (work) {
    case "swapped":
      return { kind: "swap", part, result: outcome };
    case "reseated":
      return { kind: "reseat", part, result: outcome };
    case "piggybacked":
      return { kind: "piggyback", part, result: outcome };
    default:
      return { kind: "repair", part, what: work, result: outcome };
  }
}

function provoked(
  found: FoundPlace | undefined,
  kind: "warmed" | "cooled" | "flexed",
  words: string,
): CaseEntry | Misread {
  const result = provokedWords.get(words);
  if (result === undefined)
    return {
      message: `what the fault did when ${kind} is missing`,
      hint: "Add appears, vanishes or no change.",
    };
  if (found === undefined) return { kind, result };
  if (found.place.kind !== "part")
    return { message: `only a part can be ${kind}, and '${found.at}' is none` };
  return { kind, part: found.place.label, result };
}

function removed(found: FoundPlace, rest: readonly string[], circuit: Circuit): CaseEntry | Misread {
  const { place } = found;
  if (place.kind !== "part" && place.kind !== "pin")
    return { message: `only a part or a leg can be taken out, and '${found.at}' is neither` };
  const hint = `Name the line you watched and what it did: ${place.label} removed AB3 freed.`;
  if (rest.length === 0) return { message: `what ${place.label} out did to which line is missing`, hint };
  const line = findPlace(circuit, rest);
  if ("message" in line) return line;
  const word = rest.slice(line.words).join(" ").toLowerCase().replace("no change", "unchanged");
  const shows = watchedWords.get(word);
  if (shows === undefined) return { message: `what the line ${line.place.label} did is missing`, hint };
  return { kind: "removed", part: place.label, at: line.at, shows };
}
