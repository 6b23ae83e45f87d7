import type { ConnectionFact } from "../board/grow/connection.js";
import type { Case, CaseEntry, Instrument } from "../find/case/case.js";
import type { JobEntry, Verdict } from "./job-entry.js";
import { type LoggedEntry, struckNumbers } from "./job-log.js";

/** What a job's log comes to. */
export interface JobState {
  readonly board: string;
  /** Version of the board, for a board of one's own; undefined for one that comes with the program. */
  readonly boardVersion: number | undefined;
  /** What was measured of the board's wiring and still stands, oldest first. */
  readonly connections: readonly ConnectionFact[];
  readonly title: string;
  readonly instruments: readonly string[];
  readonly spares: readonly string[];
  /** Year of the repair, if the log names it. */
  readonly year: number | undefined;
  readonly priorFactors: Readonly<Record<string, number>>;
  readonly isOpen: boolean;
  /** Of the closing that stands; undefined while the job is open. */
  readonly verdict: Verdict | undefined;
  /** Number of the entry that closed it; undefined while the job is open. */
  readonly closedBy: number | undefined;
  /** Steps that cannot be done here, with the entry that says so. */
  readonly cannot: readonly { readonly step: string; readonly entry: number }[];
  /** Number of entries. */
  readonly revision: number;
  readonly struck: ReadonlySet<number>;
  /** The log as the find engine reads it; entry i of it is entry i of the job's log. */
  readonly case: Case;
}

/**
 * Derives the state of a job from its log alone: the same log always gives the same state. Entries that concern the
 * job become notes in the case, so that both logs number their entries alike. Of fields given more than once the last
 * standing one counts; the board and the title of the first entry stand even if it is struck. `isInstrument` says which
 * names the find engine knows; others are left out of the case.
 */
export function deriveJob(
  entries: readonly LoggedEntry[],
  isInstrument: (name: string) => name is Instrument,
): JobState {
  const struck = struckNumbers(entries);
  const [opening] = entries;
  const first = opening?.kind === "job-setup" ? opening : undefined;
  const setup = { ...first };
  let closing: { readonly verdict: Verdict; readonly entry: number } | undefined;
  const cannot: { step: string; entry: number }[] = [];
  const connections: ConnectionFact[] = [];
  for (const [i, entry] of entries.entries()) {
    if (struck.has(i + 1)) continue;
    switch (entry.kind) {
      case "job-setup":
        Object.assign(setup, { ...entry, board: first?.board });
        break;
      case "job-closed":
        closing = { verdict: entry.verdict, entry: i + 1 };
        break;
      case "job-reopened":
        closing = undefined;
        break;
      case "cannot":
        if (!cannot.some(({ step }) => step === entry.step)) cannot.push({ step: entry.step, entry: i + 1 });
        break;
      case "connection":
        connections.push({ entry: i + 1, from: entry.from, to: entry.to, shows: entry.shows });
        break;
      default:
        break;
    }
  }
  const instruments = setup.instruments ?? ["multimeter"];
  return {
    board: first?.board ?? "",
    boardVersion: setup.boardVersion,
    connections,
    title: setup.title ?? "",
    instruments,
    spares: setup.spares ?? [],
    year: setup.year,
    priorFactors: setup.priorFactors ?? {},
    isOpen: closing === undefined,
    verdict: closing?.verdict,
    closedBy: closing?.entry,
    cannot,
    revision: entries.length,
    struck,
    case: {
      board: first?.board ?? "",
      instruments: instruments.filter(isInstrument),
      ...(setup.spares === undefined ? {} : { spares: setup.spares }),
      ...(setup.year === undefined ? {} : { year: setup.year }),
      ...(setup.priorFactors === undefined ? {} : { priorFactors: setup.priorFactors }),
      entries: entries.map(asCaseEntry),
    },
  };
}

/** True for an entry that concerns the job itself. */
export function isJobEntry(entry: LoggedEntry): entry is JobEntry {
  return (
    entry.kind === "job-setup" ||
    entry.kind === "job-closed" ||
    entry.kind === "job-reopened" ||
    entry.kind === "cannot" ||
    entry.kind === "connection" ||
    entry.kind === "deck-measurement"
  );
}

/** An entry that concerns the job, in one line of plain words. */
export function describeJobEntry(entry: JobEntry): string {
  switch (entry.kind) {
    case "job-setup":
      return describeSetup(entry);
    case "job-closed": {
      const { part, words } = entry.verdict;
      return `Job closed${part === undefined ? "" : `, ${part} was at fault`}: ${words}`;
    }
    case "job-reopened":
      return entry.why === undefined || entry.why === "" ? "Job reopened" : `Job reopened: ${entry.why}`;
    case "cannot":
      return `Cannot be done here: ${entry.says ?? entry.step}`;
    case "connection":
      return `Wiring: ${entry.from} to ${entry.to} ${entry.shows === "rings" ? "rings" : "does not ring"}`;
    case "deck-measurement":
      return describeDeck(entry);
  }
}

function describeSetup(entry: Extract<JobEntry, { kind: "job-setup" }>): string {
  const said = [
    entry.title === undefined ? undefined : `'${entry.title}'`,
    entry.board === undefined ? undefined : `board ${entry.board}`,
    entry.boardVersion === undefined ? undefined : `version ${entry.boardVersion} of the board`,
    entry.instruments === undefined ? undefined : `instruments: ${entry.instruments.join(", ") || "none"}`,
    entry.spares === undefined ? undefined : `spares: ${entry.spares.join(", ") || "none"}`,
    entry.year === undefined ? undefined : `year ${entry.year}`,
    entry.priorFactors === undefined ? undefined : "own factors on the odds",
  ].filter((text) => text !== undefined);
  return `${entry.board === undefined ? "Job changed" : "Job opened"}: ${said.join("; ")}`;
}

function describeDeck(entry: Extract<JobEntry, { kind: "deck-measurement" }>): string {
  const { speedErrorPercent: speed, flutterWeightedPeakPercent: flutter, dropouts, limits, grade } = entry;
  const said = [
    speed === undefined
      ? "speed hidden by its own recording"
      : `speed ${speed < 0 ? "−" : "+"}${Math.abs(speed).toFixed(2)} %`,
    flutter === undefined ? undefined : `wow and flutter ±${flutter.toFixed(3)} % weighted`,
    `${dropouts} ${dropouts === 1 ? "dropout" : "dropouts"}`,
    grade === undefined ? undefined : `${grade}${limits === undefined ? "" : ` by ${limits}`}`,
    entry.note === "" ? undefined : entry.note,
  ].filter((text) => text !== undefined);
  return `Deck measured ${entry.stage} the work: ${said.join("; ")}`;
}

function asCaseEntry(entry: LoggedEntry): CaseEntry {
  return isJobEntry(entry) ? { kind: "note", text: describeJobEntry(entry).slice(0, 10_000) } : entry;
}
