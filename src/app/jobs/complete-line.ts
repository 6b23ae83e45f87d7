import { compareNatural } from "../../core/draw/natural-order.js";
import { commandNames } from "../line/command.js";
import type { LineContext } from "../line/context.js";
import { readLine } from "../line/read-line.js";
import { instrumentWords, provokedWords, resultWords, shownWords, workWords } from "../line/words.js";

const mostCompletions = 8;
const mostTried = 60;

/**
 * Whole lines that a text may grow into, likeliest first, at most eight. The first word becomes a place, a symptom or a
 * command; of later words only those are offered with which the line can be read or goes on to something that can.
 */
export function completeLine(text: string, context: LineContext): string[] {
  const start = text.replace(/^\s+/, "");
  if (start === "") return [];
  const gap = start.lastIndexOf(" ");
  const head = start.slice(0, gap + 1);
  const begun = start.slice(gap + 1);
  const words = head === "" ? firstWords(context, begun) : laterWords(context, head, begun);
  const lower = begun.toLowerCase();
  return words
    .filter((word) => word.toLowerCase().startsWith(lower) && word !== begun)
    .slice(0, mostCompletions)
    .map((word) => head + word);
}

function firstWords({ circuit, symptoms }: LineContext, begun: string): string[] {
  const { wiring } = circuit;
  const dot = begun.indexOf(".");
  if (dot > 0) {
    const ref = begun.slice(0, dot).toUpperCase();
    const part = wiring.parts[wiring.partIndex.get(ref) ?? -1];
    return (part?.pins ?? []).map((pin) => `${ref}.${wiring.pins[pin]?.number ?? ""}`);
  }
  const whole = wiring.parts[wiring.partIndex.get(begun.toUpperCase()) ?? -1];
  const rails = wiring.board.rails.map(({ net }) => net);
  return [
    // A whole reference goes on to its legs before it goes on to longer references.
    ...(whole?.pins ?? []).map((pin) => `${whole?.part.ref}.${wiring.pins[pin]?.number ?? ""}`),
    ...[...wiring.partIndex.keys()].sort(compareNatural),
    ...rails,
    ...wiring.nets.filter((net) => !rails.includes(net)).sort(compareNatural),
    "board",
    "supply",
    ...symptoms.map(({ id }) => id),
    ...commandNames.filter((name) => name !== "save" && name !== "overwrite" && name !== "quit"),
    "gate",
    "note",
  ];
}

function laterWords(context: LineContext, head: string, begun: string): string[] {
  const lower = begun.toLowerCase();
  const known = [
    ...shownWords.keys(),
    ...workWords.keys(),
    ...resultWords.keys(),
    ...provokedWords.keys(),
    ...instrumentWords.keys(),
    "no change",
    "passed",
    "failed",
    "unpowered",
    "ripple",
  ];
  const begins = [...new Set(known)].filter((word) => word.startsWith(lower)).slice(0, mostTried);
  const reads = (line: string): boolean => readLine(line, context).kind === "entry";
  const whole = begins.filter((word) => reads(head + word));
  const goesOn = (word: string): boolean =>
    reads(`${head}${word} no change`) || reads(`${head}${word} 0.1 V`);
  const onward = begins.filter((word) => !whole.includes(word) && goesOn(word));
  return [...whole, ...onward];
}
