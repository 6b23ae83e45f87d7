import { existsSync, mkdirSync } from "node:fs";
import { dirname } from "node:path";
import Sqlite from "better-sqlite3";
import { BoardwakeError } from "../../core/base/errors.js";
import { databaseError } from "./database-errors.js";
import { migrations as allMigrations, type Migration } from "./migrations.js";

/** An open SQLite database. */
export type Database = Sqlite.Database;

/** How a database is opened. */
export interface DatabaseOptions {
  /** Milliseconds to wait for another program that is writing; 3000 if absent. */
  readonly patienceMilliseconds?: number;
  /** Formats known; those of this version if absent. */
  readonly migrations?: readonly Migration[];
}

/** Marks our files for tools that look (`PRAGMA application_id`): `bwjb` in ASCII. */
const applicationId = 0x62776a62;

/**
 * Opens the job database, makes it and its folder if there is none, and brings an older format up to date, after a copy
 * of it was put beside it. Every commit is on the disk when it returns (write-ahead log, synchronous FULL).
 * Throws `database-newer`, `database-locked`, `database-unusable`, `database-broken`; the file is then as it was.
 */
export function openDatabase(file: string, options: DatabaseOptions = {}): Database {
  const steps = options.migrations ?? allMigrations;
  let database: Database | undefined;
  try {
    mkdirSync(dirname(file), { recursive: true });
    database = new Sqlite(file, { timeout: options.patienceMilliseconds ?? 3000 });
    checkOurs(database, file, steps.at(-1)?.format ?? 0);
    database.pragma("journal_mode = WAL");
    database.pragma("synchronous = FULL");
    database.pragma("foreign_keys = ON");
    bringUpToDate(database, file, steps);
    // A folder that became read-only shows here and not at the first entry.
    database.exec("BEGIN IMMEDIATE; COMMIT");
    return database;
  } catch (cause) {
    database?.close();
    throw databaseError(file, cause);
  }
}

/** Runs `work` in one transaction that holds the write lock from its start; throws what `openDatabase` throws. */
export function inTransaction<T>(database: Database, work: () => T): T {
  try {
    return database.transaction(work).immediate();
  } catch (cause) {
    throw databaseError(database.name, cause);
  }
}

/** Runs a read; throws what `openDatabase` throws. */
export function reading<T>(database: Database, work: () => T): T {
  try {
    return work();
  } catch (cause) {
    throw databaseError(database.name, cause);
  }
}

function formatOf(database: Database): number {
  return Number(database.pragma("user_version", { simple: true }));
}

function checkOurs(database: Database, file: string, known: number): void {
  const id = Number(database.pragma("application_id", { simple: true }));
  const tables = Number(database.prepare("SELECT count(*) FROM sqlite_schema").pluck().get());
  if (id !== applicationId && tables > 0)
    throw new BoardwakeError("database-broken", { file, reason: "it is a database of another program" });
  const found = formatOf(database);
  if (found > known)
    throw new BoardwakeError("database-newer", { file, found: String(found), known: String(known) });
}

function bringUpToDate(database: Database, file: string, steps: readonly Migration[]): void {
  const before = formatOf(database);
  const pending = steps.filter(({ format }) => format > before);
  if (pending.length === 0) return;
  if (before > 0) backUp(database, file, before);
  for (const { format, statements } of pending) {
    database
      .transaction(() => {
        // Another program may have taken the step while this one waited for the lock.
        if (formatOf(database) >= format) return;
        database.exec(statements);
        database.pragma(`user_version = ${format}`);
        database.pragma(`application_id = ${applicationId}`);
      })
      .immediate();
  }
}

/** Copies the database, with what its write-ahead log holds, to a name that is free. */
function backUp(database: Database, file: string, format: number): void {
  const stem = `${file.replace(/\.db$/, "")}.format-${format}`;
  let copy = `${stem}.backup.db`;
  for (let i = 2; existsSync(copy); i += 1) copy = `${stem}.backup-${i}.db`;
  database.prepare("VACUUM INTO ?").run(copy);
}
