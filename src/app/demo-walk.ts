import type { Parsed } from "../core/base/problem.js";
import type { CaseEntry } from "../core/find/case/case.js";
import type { NextStep } from "../core/find/result/result.js";
import type { Store } from "../store/store.js";
import { prepareFind } from "./find-faults.js";
import { FindSession } from "./find-session.js";
import { loadBoard } from "./load-board.js";
import { readLog } from "./read-log.js";

/** One thing that happens in the guided session, in the order in which it is to be told. */
export type DemoScene =
  /** Words of the story. */
  | { readonly kind: "told"; readonly text: string }
  /** An entry is made. `answer` says which proposed step it answers, and as which of its answers. */
  | {
      readonly kind: "entered";
      readonly entry: CaseEntry;
      readonly answer?: { readonly step: NextStep; readonly position: number };
      /** What the plan would have done instead, where the story goes a way of its own. */
      readonly instead?: NextStep;
    };

/** A story to be told: the session it is entered in, and its scenes. */
export interface Demo {
  readonly session: FindSession;
  /** Entries that open the story, already in the log: what was reported. */
  readonly opening: readonly CaseEntry[];
  /** Makes the next entry of the story and says what happened; undefined at the end. */
  next(): DemoScene | undefined;
}

/**
 * Opens the story that comes with the program. It is an ordinary log: the notes tell the story, the symptoms at its
 * head are what was reported, and everything after them is entered one by one and worked out for real.
 */
export function openDemo(store: Store): Parsed<Demo> {
  const read = readLog(store.data.demoLog());
  if (read.value === undefined) return { problems: read.problems };
  const { log } = read.value;
  const loaded = loadBoard(store, log.board ?? "");
  if (loaded.value === undefined) return { problems: loaded.problems };
  const first = log.entries.findIndex(({ kind }) => kind !== "note" && kind !== "symptom");
  const opening = log.entries.slice(0, first < 0 ? log.entries.length : first);
  const opened = FindSession.open(prepareFind(store, loaded.value), { ...log, entries: opening });
  if (opened.value === undefined) return { problems: opened.problems };
  const session = opened.value;
  const rest = log.entries.slice(opening.length);
  const next = (): DemoScene | undefined => {
    const entry = rest.shift();
    if (entry === undefined) return undefined;
    const answer = findAnswer(session, entry);
    const [first] = session.result.next;
    const [problem] = session.add([entry]);
    if (problem !== undefined) throw new RangeError(`the story does not fit its board: ${problem.message}`);
    if (entry.kind === "note") return { kind: "told", text: entry.text };
    if (answer !== undefined) return { kind: "entered", entry, answer };
    return { kind: "entered", entry, ...(first === undefined ? {} : { instead: first }) };
  };
  return { value: { session, opening, next }, problems: [] };
}

/** The proposed step that an entry answers, if it answers one. */
function findAnswer(
  session: FindSession,
  entry: CaseEntry,
): { readonly step: NextStep; readonly position: number } | undefined {
  const wanted = JSON.stringify(sorted(entry));
  for (const step of session.result.next) {
    const position = session.answers(step).findIndex((one) => JSON.stringify(sorted(one.entry)) === wanted);
    if (position >= 0) return { step, position };
  }
  return undefined;
}

function sorted(entry: CaseEntry): [string, unknown][] {
  return Object.entries(entry).sort(([a], [b]) => (a < b ? -1 : 1));
}
