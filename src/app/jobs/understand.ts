import type { Instrument } from "../../core/find/case/case.js";
import { describeJobEntry } from "../../core/job/job-state.js";
import type { Understood } from "../api/jobs.js";
import { describeEntry } from "../describe-entry.js";
import type { LineContext } from "../line/context.js";
import { readLine } from "../line/read-line.js";
import { readWiring } from "../line/wiring.js";
import type { BenchBoard } from "./bench-boards.js";
import { problemOfEntry } from "./check-entry.js";
import { completeLine } from "./complete-line.js";
import { suggestionsOf } from "./refusal.js";

/** What a typed line means on a board with these instruments at hand, and what it may grow into. Changes nothing. */
export function understandLine(
  bench: BenchBoard,
  instruments: readonly Instrument[],
  text: string,
): Understood {
  const context: LineContext = { circuit: bench.circuit, symptoms: bench.symptoms, instruments };
  const completions = completeLine(text, context);
  const wiring = readWiring(text);
  if (wiring !== undefined) {
    const problem = problemOfEntry(bench, wiring);
    if (problem !== undefined) return misunderstood(text, problem.message, problem.hint, completions);
    return { outcome: "entry", entry: wiring, says: describeJobEntry(wiring), completions };
  }
  const meaning = readLine(text, context);
  switch (meaning.kind) {
    case "entry": {
      const problem = problemOfEntry(bench, meaning.entry);
      if (problem !== undefined) return misunderstood(text, problem.message, problem.hint, completions);
      const says = describeEntry(meaning.entry, bench.symptoms);
      return { outcome: "entry", entry: meaning.entry, says, completions };
    }
    case "command": {
      const { command } = meaning;
      if (command.name === "save" || command.name === "quit")
        return misunderstood(
          text,
          "Nothing needs to be saved here: every entry is on the disk.",
          undefined,
          [],
        );
      if (command.name === "why")
        return { outcome: "command", command: "why", part: command.part, completions };
      if (command.name === "strike")
        return { outcome: "command", command: "strike", entry: command.entry, completions };
      return { outcome: "command", command: command.name, completions };
    }
    case "misread":
      return misunderstood(text, sentence(meaning.message), meaning.hint, completions);
  }
}

function misunderstood(
  text: string,
  problem: string,
  hint: string | undefined,
  completions: string[],
): Understood {
  const wrong = /'([^']+)'/.exec(problem)?.[1];
  const suggestions = suggestionsOf(hint).map((near) => {
    // The name that was not found stands in quotes in the sentence; where it is not in the line the name alone is told.
    const at = wrong === undefined ? -1 : text.toLowerCase().indexOf(wrong.toLowerCase());
    return at < 0 || wrong === undefined ? near : text.slice(0, at) + near + text.slice(at + wrong.length);
  });
  return { outcome: "problem", problem, ...(hint === undefined ? {} : { hint }), suggestions, completions };
}

function sentence(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}${/[.!?]$/.test(text) ? "" : "."}`;
}
