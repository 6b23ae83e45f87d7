import { BoardwakeError } from "../../core/base/errors.js";
import { type Case, type Instrument, instruments } from "../../core/find/case/case.js";
import { whyRefused } from "../../core/job/accept.js";
import type { LoggedEntry, StoredEntry } from "../../core/job/job-log.js";
import { deriveJob, type JobState } from "../../core/job/job-state.js";
import type { JobStore, JobWriter, StoredJob } from "../../store/jobs/job-store.js";
import type { LogLine, NewEntry } from "../api/entry.js";
import type { JobDetail, JobSummary } from "../api/jobs.js";
import type { BoardSource } from "../boards/board-source.js";
import type { BenchBoard, BenchBoards } from "./bench-boards.js";
import { problemOfEntry } from "./check-entry.js";
import { detailOf, leadText, lineOf, readSummary, summaryOf, summaryText } from "./job-views.js";
import { Refusal } from "./refusal.js";
import { renamedCase } from "./renamed-case.js";

/** A job as it stands: its log and what follows from it. */
export interface OpenJob {
  readonly id: string;
  readonly entries: readonly StoredEntry[];
  readonly state: JobState;
}

/** What a job is opened with. */
export interface JobOpening {
  readonly id: string;
  readonly board: string;
  readonly title: string;
  readonly instruments: readonly Instrument[];
  readonly spares?: readonly string[] | undefined;
  readonly year?: number | undefined;
  readonly priorFactors?: Readonly<Record<string, number>> | undefined;
  readonly entries: readonly { readonly id: string; readonly entry: LoggedEntry }[];
}

/** What came of an entry. */
export interface Added {
  readonly line: LogLine;
  readonly job: OpenJob;
  /** False if it was in the log already, sent twice. */
  readonly isNew: boolean;
}

/** A job's log as an engine works it out. */
export interface JobOrder {
  readonly job: string;
  readonly revision: number;
  readonly board: string;
  /** Undefined for an installed board that nothing was changed of. */
  readonly source?: BoardSource;
  readonly case: Case;
  /** Ids of steps that cannot be done here. */
  readonly cannot: readonly string[];
}

/** Jobs whose logs are kept in memory beside the database. */
const rememberedJobs = 20;

/**
 * All jobs of a bench: reads and adds to their logs, and keeps what follows from them at hand. Another program may
 * write to the same database meanwhile; every function looks whether it has.
 */
export class JobBook {
  readonly boards: BenchBoards;
  private readonly store: JobStore;
  private readonly now: () => string;
  private readonly remembered = new Map<string, OpenJob>();

  /** `now` gives the moment as ISO 8601 in UTC. */
  constructor(store: JobStore, boards: BenchBoards, now: () => string) {
    this.store = store;
    this.boards = boards;
    this.now = now;
  }

  /** All jobs, newest first. */
  list(): JobSummary[] {
    return this.store.jobs().map((stored) => this.summarise(stored));
  }

  /** Throws `job-unknown`. */
  summary(id: string): JobSummary {
    return this.summarise(this.stored(id));
  }

  /** Throws `job-unknown`. */
  detail(id: string): JobDetail {
    const job = this.read(id);
    const bench = this.boards.has(job.state.board) ? this.boards.ofJob(job.state) : undefined;
    return detailOf(this.summary(id), job, bench);
  }

  /** The board of a job as its log has it. Throws `job-unknown`, `board-unknown`. */
  boardOf(id: string): BenchBoard {
    return this.boards.ofJob(this.read(id).state);
  }

  /** What an engine needs to work a job out. Throws `job-unknown`, `board-unknown`. */
  order(id: string): JobOrder {
    const { state } = this.read(id);
    const { source, grown } = this.boards.ofJob(state);
    return {
      job: id,
      revision: state.revision,
      board: state.board,
      ...(source === undefined ? {} : { source }),
      case: grown === undefined ? state.case : renamedCase(state.case, grown.renamed),
      cannot: state.cannot.map(({ step }) => step),
    };
  }

  /** Lines of a log from a number on. Throws `job-unknown`. */
  lines(id: string, from: number): LogLine[] {
    const { entries, state } = this.read(id);
    const symptoms = this.symptomsOf(state.board);
    return entries.slice(from - 1).map((entry) => lineOf(entry, state, symptoms));
  }

  /** The log and what follows from it. Throws `job-unknown`. */
  read(id: string): OpenJob {
    const { revision } = this.stored(id);
    const known = this.remembered.get(id);
    if (known?.entries.length === revision) return known;
    const before = known?.entries ?? [];
    const entries = [...before, ...this.store.log(id, before.length + 1)];
    return this.remember(makeJob(id, entries));
  }

  /**
   * Opens a job. The same id with the same content gives the job there is. Throws `board-unknown`, `entry-conflict`,
   * and `Refusal` for an entry that cannot stand in its log.
   */
  open(opening: JobOpening, isDemo = false): JobDetail {
    const at = this.now();
    const entries = this.openingEntries(opening, at);
    const there = this.store.job(opening.id);
    if (there !== undefined) {
      this.checkSame(opening.id, entries);
      return this.detail(opening.id);
    }
    this.store.change((write) => {
      write.addJob({ id: opening.id, openedAt: at, isDemo });
      for (const entry of entries) write.addEntry(opening.id, entry);
      keepSummary(write, makeJob(opening.id, entries));
    });
    return this.detail(opening.id);
  }

  /**
   * Adds an entry; on the disk when this returns. An id that is in the log already adds nothing. Throws `job-unknown`,
   * `entry-conflict`, and `Refusal` for an entry that cannot stand there.
   */
  add(id: string, { id: entryId, entry }: NewEntry): Added {
    const { state } = this.read(id);
    const { board } = state;
    const twin = this.store.entry(id, entryId);
    if (twin !== undefined) return this.addedBefore(id, twin, entry);
    const problem = problemOfEntry(this.boards.ofJob(state), entry);
    if (problem !== undefined) throw new Refusal(problem);
    if (entry.kind === "job-setup") this.checkVersion(board, entry.boardVersion);
    const added = this.store.change((write) => {
      // Read under the lock: another program may have added to the log since.
      const before = this.read(id);
      const refused = whyRefused(before.state, before.entries.map(bare), entry);
      if (refused !== undefined) throw new Refusal(refused);
      const stored = { number: before.entries.length + 1, id: entryId, at: this.now(), entry };
      write.addEntry(id, stored);
      const after = makeJob(id, [...before.entries, stored]);
      keepSummary(write, after);
      return { stored, after };
    });
    const job = this.remember(added.after);
    const line = lineOf(added.stored, job.state, this.symptomsOf(board));
    return { line, job, isNew: true };
  }

  /** Keeps the leading suspect of a log for the list of jobs; an older revision does not replace a newer one. */
  keepLead(id: string, revision: number, lead: JobSummary["lead"]): void {
    const kept = this.store.job(id)?.lead;
    const text = leadText(lead);
    if (kept !== undefined && (kept.revision > revision || kept.text === text)) return;
    this.store.change((write) => write.setLead(id, revision, text));
  }

  private openingEntries(opening: JobOpening, at: string): StoredEntry[] {
    const { id, board, title, instruments: tools, spares, year, priorFactors } = opening;
    const bench = this.boards.get(board);
    const setup: LoggedEntry = {
      kind: "job-setup",
      board,
      ...(bench.version === undefined ? {} : { boardVersion: bench.version }),
      title,
      instruments: [...tools],
      ...(spares === undefined ? {} : { spares: [...spares] }),
      ...(year === undefined ? {} : { year }),
      ...(priorFactors === undefined ? {} : { priorFactors: { ...priorFactors } }),
    };
    const entries: StoredEntry[] = [];
    for (const [i, { id: entryId, entry }] of [{ id, entry: setup }, ...opening.entries].entries()) {
      const problem =
        problemOfEntry(bench, entry) ??
        (i === 0 ? undefined : whyRefused(makeJob(id, entries).state, entries.map(bare), entry));
      if (problem !== undefined) throw new Refusal(i === 0 ? problem : inOpening(problem, i - 1));
      entries.push({ number: i + 1, id: entryId, at, entry });
    }
    return entries;
  }

  /** A job can only move to a version that its board has. */
  private checkVersion(board: string, version: number | undefined): void {
    if (version === undefined) return;
    const has = this.boards.isOwn(board) && this.boards.hasVersion(board, version);
    if (has) return;
    throw new Refusal({
      code: "unknown-version",
      severity: "error",
      message: `The board '${board}' has no version ${version}.`,
      where: { field: "entry.boardVersion" },
      hint: "The page of the board lists its versions.",
    });
  }

  private checkSame(id: string, entries: readonly StoredEntry[]): void {
    const { entries: there } = this.read(id);
    const differs = entries.some(({ entry }, i) => !isSame(entry, there[i]?.entry));
    if (differs) throw new BoardwakeError("entry-conflict", { id });
  }

  private addedBefore(id: string, twin: StoredEntry, entry: LoggedEntry): Added {
    if (!isSame(twin.entry, entry)) throw new BoardwakeError("entry-conflict", { id: twin.id });
    const job = this.read(id);
    return { line: lineOf(twin, job.state, this.symptomsOf(job.state.board)), job, isNew: false };
  }

  private summarise(stored: StoredJob): JobSummary {
    const kept = readSummary(stored);
    if (kept !== undefined) return summaryOf(stored, kept, this.boards.titleOf(kept.board));
    const { board, title, isOpen, verdict } = this.read(stored.id).state;
    return summaryOf(stored, { board, title, isOpen, verdict: verdict ?? null }, this.boards.titleOf(board));
  }

  private stored(id: string): StoredJob {
    const stored = this.store.job(id);
    if (stored === undefined) throw new BoardwakeError("job-unknown", { job: id, hint: "" });
    return stored;
  }

  private symptomsOf(board: string): ReturnType<BenchBoards["get"]>["symptoms"] {
    return this.boards.has(board) ? this.boards.get(board).symptoms : [];
  }

  private remember(job: OpenJob): OpenJob {
    this.remembered.delete(job.id);
    this.remembered.set(job.id, job);
    const oldest = this.remembered.keys().next();
    if (this.remembered.size > rememberedJobs && oldest.done !== true) this.remembered.delete(oldest.value);
    return job;
  }
}

/** True for the names of instruments that the find engine knows. */
export function isInstrument(name: string): name is Instrument {
  return instruments.some((known) => known === name);
}

function makeJob(id: string, entries: readonly StoredEntry[]): OpenJob {
  return { id, entries, state: deriveJob(entries.map(bare), isInstrument) };
}

function keepSummary(write: JobWriter, { id, state, entries }: OpenJob): void {
  const changedAt = entries.at(-1)?.at ?? "";
  write.setSummary(id, state.revision, changedAt, summaryText(state));
}

function bare({ entry }: StoredEntry): LoggedEntry {
  return entry;
}

/** Equal whatever the order of the fields. */
function isSame(a: unknown, b: unknown): boolean {
  return JSON.stringify(a, sortedFields) === JSON.stringify(b, sortedFields);
}

function sortedFields(_: string, value: unknown): unknown {
  if (typeof value !== "object" || value === null || Array.isArray(value)) return value;
  return Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)));
}

function inOpening(problem: Refusal["problem"], i: number): Refusal["problem"] {
  const field = (problem.where.field ?? "entry").replace(/^entry/, `entries[${i}].entry`);
  return { ...problem, where: { field } };
}
