import { z } from "zod";
import { BoardwakeError } from "../../core/base/errors.js";
import { entrySchema } from "../../core/find/case/case.js";
import { jobEntrySchemas } from "../../core/job/job-entry.js";
import type { StoredEntry } from "../../core/job/job-log.js";
import { type BoardShelf, createShelf } from "./board-shelf.js";
import { type Database, type DatabaseOptions, inTransaction, openDatabase, reading } from "./database.js";

/** A job as it stands in the list; `summary` and `lead` are texts that their writer understands. */
export interface StoredJob {
  readonly id: string;
  readonly openedAt: string;
  readonly isDemo: boolean;
  /** Number of entries of its log. */
  readonly revision: number;
  /** When the last entry was added. */
  readonly changedAt: string;
  /** What was derived from the log at a revision; undefined if never. */
  readonly summary: { readonly revision: number; readonly text: string } | undefined;
  /** What was computed of the log at a revision. */
  readonly lead: { readonly revision: number; readonly text: string } | undefined;
}

/** A device that was paired. */
export interface StoredDevice {
  readonly id: string;
  readonly label: string;
  readonly pairedAt: string;
  readonly seenAt: string;
}

/**
 * Where jobs are kept. Everything but `change` reads; what `change` did is on the disk when it returns. Any function
 * may throw `database-locked`, `database-unusable` and `database-broken`.
 */
export interface JobStore {
  /** Path of the file, for messages. */
  readonly file: string;
  /** Boards, part types and pictures of one's own. */
  readonly shelf: BoardShelf;
  /** All jobs, newest first. */
  jobs(): StoredJob[];
  job(id: string): StoredJob | undefined;
  /** Entries of a log from a number on, in order. */
  log(id: string, from?: number): StoredEntry[];
  /** The entry of a log that a client gave this id. */
  entry(job: string, id: string): StoredEntry | undefined;
  /** Runs `work` in one transaction: all of its writes are done or none. */
  change<T>(work: (write: JobWriter) => T): T;
  devices(): StoredDevice[];
  /** The device with this hash of its key. */
  deviceOf(keyHash: string): StoredDevice | undefined;
  setting(name: string): string | undefined;
  /** Changes when another program has written to the file. */
  outsideVersion(): number;
  close(): void;
}

/** What can be written; only to be used while the `change` that gave it runs. */
export interface JobWriter {
  addJob(job: { readonly id: string; readonly openedAt: string; readonly isDemo: boolean }): void;
  addEntry(job: string, entry: StoredEntry): void;
  setSummary(job: string, revision: number, changedAt: string, text: string): void;
  setLead(job: string, revision: number, text: string): void;
  addDevice(device: StoredDevice & { readonly keyHash: string }): void;
  touchDevice(id: string, seenAt: string): void;
  /** False if there is no such device. */
  removeDevice(id: string): boolean;
  setSetting(name: string, value: string): void;
}

const bodySchema = z.discriminatedUnion("kind", [...entrySchema.options, ...jobEntrySchemas]);

const entryRow = z.object({ number: z.number().int(), id: z.string(), at: z.string(), body: z.string() });
const text = z.string().nullable();
const whole = z.number().int().nullable();
const jobRow = z.object({
  id: z.string(),
  opened_at: z.string(),
  demo: z.number(),
  revision: z.number().int(),
  last_at: text,
  summary_revision: whole,
  summary: text,
  lead_revision: whole,
  lead: text,
});
const deviceRow = z.object({ id: z.string(), label: z.string(), paired_at: z.string(), seen_at: z.string() });

const selectJobs = `
  SELECT job.id, job.opened_at, job.demo,
    coalesce((SELECT max(number) FROM entry WHERE entry.job = job.id), 0) AS revision,
    (SELECT at FROM entry WHERE entry.job = job.id ORDER BY number DESC LIMIT 1) AS last_at,
    summary.revision AS summary_revision, summary.body AS summary,
    lead.revision AS lead_revision, lead.body AS lead
  FROM job LEFT JOIN summary ON summary.job = job.id LEFT JOIN lead ON lead.job = job.id`;

/** Opens the jobs kept in a file; see `openDatabase`. */
export function openJobStore(file: string, options: DatabaseOptions = {}): JobStore {
  return new SqliteJobStore(openDatabase(file, options));
}

class SqliteJobStore implements JobStore {
  readonly shelf: BoardShelf;
  private readonly database: Database;
  private readonly writer: JobWriter;

  constructor(database: Database) {
    this.database = database;
    this.writer = createWriter(database);
    this.shelf = createShelf(database);
  }

  get file(): string {
    return this.database.name;
  }

  jobs(): StoredJob[] {
    return this.rows(`${selectJobs} ORDER BY job.opened_at DESC, job.id`, jobRow).map(storedJob);
  }

  job(id: string): StoredJob | undefined {
    return this.rows(`${selectJobs} WHERE job.id = ?`, jobRow, id).map(storedJob)[0];
  }

  log(id: string, from = 1): StoredEntry[] {
    const sql = "SELECT number, id, at, body FROM entry WHERE job = ? AND number >= ? ORDER BY number";
    return this.rows(sql, entryRow, id, from).map((row) => this.storedEntry(row));
  }

  entry(job: string, id: string): StoredEntry | undefined {
    const sql = "SELECT number, id, at, body FROM entry WHERE job = ? AND id = ?";
    return this.rows(sql, entryRow, job, id).map((row) => this.storedEntry(row))[0];
  }

  change<T>(work: (write: JobWriter) => T): T {
    return inTransaction(this.database, () => work(this.writer));
  }

  devices(): StoredDevice[] {
    const sql = "SELECT id, label, paired_at, seen_at FROM device ORDER BY paired_at, id";
    return this.rows(sql, deviceRow).map(storedDevice);
  }

  deviceOf(keyHash: string): StoredDevice | undefined {
    const sql = "SELECT id, label, paired_at, seen_at FROM device WHERE key_hash = ?";
    return this.rows(sql, deviceRow, keyHash).map(storedDevice)[0];
  }

  setting(name: string): string | undefined {
    const sql = "SELECT value FROM setting WHERE name = ?";
    return this.rows(sql, z.object({ value: z.string() }), name)[0]?.value;
  }

  outsideVersion(): number {
    return reading(this.database, () => Number(this.database.pragma("data_version", { simple: true })));
  }

  close(): void {
    this.database.close();
  }

  private rows<T>(sql: string, row: z.ZodType<T>, ...values: readonly (string | number)[]): T[] {
    return reading(this.database, () =>
      this.database
        .prepare(sql)
        .all(...values)
        .map((found) => row.parse(found)),
    );
  }

  private storedEntry({ number, id, at, body }: z.infer<typeof entryRow>): StoredEntry {
    return { number, id, at, entry: this.parseBody(number, body) };
  }

  private parseBody(number: number, body: string): StoredEntry["entry"] {
    let value: unknown;
    try {
      value = JSON.parse(body);
    } catch (cause) {
      throw this.broken(number, cause);
    }
    const parsed = bodySchema.safeParse(value);
    if (!parsed.success) throw this.broken(number, parsed.error);
    return parsed.data;
  }

  private broken(number: number, cause: unknown): BoardwakeError {
    const reason = `entry ${number} of a log does not have the form of an entry`;
    return new BoardwakeError("database-broken", { file: this.file, reason }, cause);
  }
}

function createWriter(database: Database): JobWriter {
  const run = (sql: string, ...values: readonly (string | number)[]): number =>
    database.prepare(sql).run(...values).changes;
  return {
    addJob: ({ id, openedAt, isDemo }) => {
      run("INSERT INTO job (id, opened_at, demo) VALUES (?, ?, ?)", id, openedAt, isDemo ? 1 : 0);
    },
    addEntry: (job, { number, id, at, entry }) => {
      const sql = "INSERT INTO entry (job, number, id, at, body) VALUES (?, ?, ?, ?, ?)";
      run(sql, job, number, id, at, JSON.stringify(entry));
    },
    setSummary: (job, revision, changedAt, body) => {
      const sql = "INSERT OR REPLACE INTO summary (job, revision, changed_at, body) VALUES (?, ?, ?, ?)";
      run(sql, job, revision, changedAt, body);
    },
    setLead: (job, revision, body) => {
      run("INSERT OR REPLACE INTO lead (job, revision, body) VALUES (?, ?, ?)", job, revision, body);
    },
    addDevice: ({ id, label, keyHash, pairedAt, seenAt }) => {
      const sql = "INSERT INTO device (id, label, key_hash, paired_at, seen_at) VALUES (?, ?, ?, ?, ?)";
      run(sql, id, label, keyHash, pairedAt, seenAt);
    },
    touchDevice: (id, seenAt) => {
      run("UPDATE device SET seen_at = ? WHERE id = ?", seenAt, id);
    },
    removeDevice: (id) => run("DELETE FROM device WHERE id = ?", id) > 0,
    setSetting: (name, value) => {
      run("INSERT OR REPLACE INTO setting (name, value) VALUES (?, ?)", name, value);
    },
  };
}

function storedJob(row: z.infer<typeof jobRow>): StoredJob {
  const at = (revision: number | null, body: string | null): StoredJob["lead"] =>
    revision === null || body === null ? undefined : { revision, text: body };
  return {
    id: row.id,
    openedAt: row.opened_at,
    isDemo: row.demo === 1,
    revision: row.revision,
    changedAt: row.last_at ?? row.opened_at,
    summary: at(row.summary_revision, row.summary),
    lead: at(row.lead_revision, row.lead),
  };
}

function storedDevice(row: z.infer<typeof deviceRow>): StoredDevice {
  return { id: row.id, label: row.label, pairedAt: row.paired_at, seenAt: row.seen_at };
}
