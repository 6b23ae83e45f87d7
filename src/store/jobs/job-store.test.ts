import {
  chmodSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Sqlite from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { BoardwakeError } from "../../core/base/errors.js";
import { usualDataFolder } from "./data-folder.js";
import { openDatabase } from "./database.js";
import { databaseError } from "./database-errors.js";
import { type JobStore, openJobStore } from "./job-store.js";
import { migrations } from "./migrations.js";

let folder = "";
let file = "";
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "boardwake-jobs-"));
  file = join(folder, "jobs.db");
});
afterEach(() => {
  chmodSync(folder, 0o755);
  rmSync(folder, { recursive: true, force: true });
});

const job = "00000000-0000-4000-8000-000000000001";
const at = "2026-03-01T10:00:00.000Z";

function idOf(number: number): string {
  return `00000000-0000-4000-8000-${String(number).padStart(12, "0")}`;
}

function addNote(store: JobStore, number: number, text = "n"): void {
  store.change((write) =>
    write.addEntry(job, { number, id: idOf(number), at, entry: { kind: "note", text } }),
  );
}

function openWithJob(): JobStore {
  const store = openJobStore(file);
  store.change((write) => write.addJob({ id: job, openedAt: at, isDemo: false }));
  return store;
}

function failure(act: () => unknown): { code: string; message: string } {
  try {
    act();
  } catch (error) {
    if (error instanceof BoardwakeError) return { code: error.code, message: error.message };
    throw error;
  }
  throw new Error("nothing was thrown");
}

describe("the job store", () => {
  it("makes file and folder, and keeps what was added over a reopening", () => {
    file = join(folder, "new", "deeper", "jobs.db");
    const store = openWithJob();
    addNote(store, 1, "first");
    addNote(store, 2, "second");
    store.close();
    const again = openJobStore(file);
    expect(again.log(job).map(({ number, entry }) => [number, entry])).toEqual([
      [1, { kind: "note", text: "first" }],
      [2, { kind: "note", text: "second" }],
    ]);
    expect(again.log(job, 2).map(({ number }) => number)).toEqual([2]);
    expect(again.job(job)).toMatchObject({ revision: 2, changedAt: at, summary: undefined, isDemo: false });
    again.close();
  });

  it("syncs every commit and keeps a write-ahead log", () => {
    const database = openDatabase(file);
    expect(database.pragma("journal_mode", { simple: true })).toBe("wal");
    expect(database.pragma("synchronous", { simple: true })).toBe(2);
    database.close();
  });

  it("lists jobs newest first with what is kept of them", () => {
    const store = openWithJob();
    const later = idOf(9);
    store.change((write) => {
      write.addJob({ id: later, openedAt: "2026-03-02T10:00:00.000Z", isDemo: true });
      write.setSummary(later, 0, at, "summary");
      write.setLead(later, 3, "lead");
      write.setLead(later, 4, "newer lead");
    });
    expect(store.jobs().map(({ id }) => id)).toEqual([later, job]);
    expect(store.job(later)).toMatchObject({
      isDemo: true,
      summary: { revision: 0, text: "summary" },
      lead: { revision: 4, text: "newer lead" },
    });
    expect(store.job(idOf(5))).toBeUndefined();
    store.close();
  });

  it("finds an entry by the id its maker gave it", () => {
    const store = openWithJob();
    addNote(store, 1, "x");
    expect(store.entry(job, idOf(1))).toMatchObject({ number: 1, entry: { text: "x" } });
    expect(store.entry(job, idOf(2))).toBeUndefined();
    expect(store.entry(idOf(7), idOf(1))).toBeUndefined();
    store.close();
  });

  it("does all of a change or nothing", () => {
    const store = openWithJob();
    expect(() =>
      store.change((write) => {
        write.addEntry(job, { number: 1, id: idOf(1), at, entry: { kind: "note", text: "x" } });
        throw new Error("stop");
      }),
    ).toThrow("stop");
    expect(store.log(job)).toEqual([]);
    store.close();
  });

  it("lets no entry be changed, taken away, left out or entered twice", () => {
    const store = openWithJob();
    addNote(store, 1);
    const raw = new Sqlite(file);
    expect(() => raw.exec("UPDATE entry SET body = '{}'")).toThrow("the log is only added to");
    expect(() => raw.exec("DELETE FROM entry")).toThrow("the log is only added to");
    raw.close();
    expect(() => addNote(store, 3)).toThrow("without a gap");
    expect(() => addNote(store, 1)).toThrow("without a gap");
    const twin = { number: 2, id: idOf(1), at, entry: { kind: "note", text: "y" } } as const;
    expect(() => store.change((write) => write.addEntry(job, twin))).toThrow("UNIQUE");
    expect(store.log(job)).toHaveLength(1);
    store.close();
  });

  it("notices what another program has written", () => {
    const store = openWithJob();
    const before = store.outsideVersion();
    addNote(store, 1);
    expect(store.outsideVersion()).toBe(before);
    const other = openJobStore(file);
    addNote(other, 2);
    expect(store.outsideVersion()).not.toBe(before);
    expect(store.log(job)).toHaveLength(2);
    other.close();
    store.close();
  });

  it("keeps devices and settings", () => {
    const store = openJobStore(file);
    const device = { id: idOf(3), label: "Tablet", pairedAt: at, seenAt: at };
    store.change((write) => {
      write.addDevice({ ...device, keyHash: "hash" });
      write.setSetting("a", "1");
      write.setSetting("a", "2");
    });
    expect(store.devices()).toEqual([device]);
    expect(store.deviceOf("hash")).toEqual(device);
    expect(store.deviceOf("other")).toBeUndefined();
    expect([store.setting("a"), store.setting("b")]).toEqual(["2", undefined]);
    store.change((write) => write.touchDevice(device.id, "later"));
    expect(store.deviceOf("hash")?.seenAt).toBe("later");
    expect(store.change((write) => write.removeDevice(device.id))).toBe(true);
    expect(store.change((write) => write.removeDevice(device.id))).toBe(false);
    store.close();
  });
});

describe("formats of the database", () => {
  const newest = migrations.length;
  const second = { format: newest + 1, statements: "ALTER TABLE job ADD COLUMN place TEXT" };
  const steps = [...migrations, second];

  it("count up from 1 without gaps", () => {
    expect(migrations.map(({ format }) => format)).toEqual(migrations.map((_, i) => i + 1));
  });

  it("are brought up to date after a copy was put beside the file", () => {
    const store = openWithJob();
    addNote(store, 1, "kept");
    store.close();
    const database = openDatabase(file, { migrations: steps });
    expect(database.pragma("user_version", { simple: true })).toBe(newest + 1);
    expect(database.prepare("SELECT count(place) FROM job").pluck().get()).toBe(0);
    database.close();
    expect(readdirSync(folder).filter((name) => name.includes("backup"))).toEqual([
      `jobs.format-${newest}.backup.db`,
    ]);
    const copy = openJobStore(join(folder, `jobs.format-${newest}.backup.db`));
    expect(copy.log(job)).toHaveLength(1);
    copy.close();
  });

  it("bring a log of the first format over unharmed", () => {
    openDatabase(file, { migrations: migrations.slice(0, 1) }).close();
    const raw = new Sqlite(file);
    raw.prepare("INSERT INTO job (id, opened_at, demo) VALUES (?, ?, 0)").run(job, at);
    raw
      .prepare("INSERT INTO entry (job, number, id, at, body) VALUES (?, 1, ?, ?, ?)")
      .run(job, idOf(1), at, JSON.stringify({ kind: "note", text: "kept" }));
    raw.close();
    const store = openJobStore(file);
    expect(store.log(job).map(({ entry }) => entry)).toEqual([{ kind: "note", text: "kept" }]);
    expect(store.shelf.boards()).toEqual([]);
    store.close();
  });

  it("make no copy of a new file, and do not write over an older copy", () => {
    openDatabase(file, { migrations: steps }).close();
    expect(readdirSync(folder).filter((name) => name.includes("backup"))).toEqual([]);
    rmSync(file);
    openWithJob().close();
    writeFileSync(join(folder, `jobs.format-${newest}.backup.db`), "older");
    openDatabase(file, { migrations: steps }).close();
    expect(readFileSync(join(folder, `jobs.format-${newest}.backup.db`), "utf8")).toBe("older");
    expect(existsSync(join(folder, `jobs.format-${newest}.backup-2.db`))).toBe(true);
  });

  it("stay as they were if a step fails", () => {
    const store = openWithJob();
    addNote(store, 1);
    store.close();
    const broken = [
      ...migrations,
      { format: newest + 1, statements: `${second.statements}; SELECT nonsense` },
    ];
    expect(() => openDatabase(file, { migrations: broken })).toThrow("nonsense");
    const again = openJobStore(file);
    expect(again.log(job)).toHaveLength(1);
    again.close();
    const raw = new Sqlite(file);
    expect(raw.pragma("user_version", { simple: true })).toBe(newest);
    expect(
      raw.prepare("SELECT count(*) FROM pragma_table_info('job') WHERE name = 'place'").pluck().get(),
    ).toBe(0);
    raw.close();
  });
});

describe("a database that cannot be used", () => {
  it("of a newer version is refused and left as it is", () => {
    openWithJob().close();
    const raw = new Sqlite(file);
    raw.pragma("user_version = 7");
    raw.close();
    expect(failure(() => openJobStore(file))).toEqual({
      code: "database-newer",
      message: `The job database ${file} was written by a newer boardwake (format 7, and this one knows up to ${migrations.length}).`,
    });
    const left = new Sqlite(file);
    expect(left.pragma("user_version", { simple: true })).toBe(7);
    left.close();
  });

  it("of another program is refused", () => {
    const raw = new Sqlite(file);
    raw.exec("CREATE TABLE song (title TEXT)");
    raw.close();
    expect(failure(() => openJobStore(file))).toMatchObject({
      code: "database-broken",
      message: expect.stringContaining("another program"),
    });
  });

  it("that is no database is refused", () => {
    writeFileSync(file, "This is a shopping list and no database at all, whatever its name says.".repeat(20));
    expect(failure(() => openJobStore(file)).code).toBe("database-broken");
  });

  it("that another program holds is refused after some patience", () => {
    openWithJob().close();
    const other = new Sqlite(file);
    other.exec("BEGIN IMMEDIATE");
    expect(failure(() => openJobStore(file, { patienceMilliseconds: 50 }))).toEqual({
      code: "database-locked",
      message: `The job database ${file} is in use by another program.`,
    });
    other.exec("ROLLBACK");
    const store = openJobStore(file, { patienceMilliseconds: 50 });
    other.exec("BEGIN IMMEDIATE");
    expect(failure(() => addNote(store, 1)).code).toBe("database-locked");
    other.exec("ROLLBACK");
    addNote(store, 1);
    expect(store.log(job)).toHaveLength(1);
    store.close();
    other.close();
  });

  it("on a full disk loses nothing that was confirmed", () => {
    openWithJob().close();
    const database = openDatabase(file);
    // A file that may not grow is what a full disk is to SQLite.
    database.pragma(`max_page_count = ${String(database.pragma("page_count", { simple: true }))}`);
    const fill = (): unknown =>
      database.prepare("INSERT INTO setting VALUES (?, ?)").run("big", "x".repeat(100_000));
    let thrown: unknown;
    try {
      fill();
    } catch (error) {
      thrown = databaseError(file, error);
    }
    expect(thrown).toMatchObject({
      code: "database-unusable",
      message: `Cannot use the job database ${file}: the disk is full.`,
    });
    database.close();
    const again = openJobStore(file);
    expect(again.jobs()).toHaveLength(1);
    again.close();
  });

  it("in a folder that cannot be written is refused", () => {
    const locked = join(folder, "locked");
    mkdirSync(locked);
    chmodSync(locked, 0o555);
    asOrdinaryUser(() => {
      expect(failure(() => openJobStore(join(locked, "jobs.db")))).toMatchObject({
        code: "database-unusable",
        message: expect.stringMatching(/read-only|permission is denied/),
      });
      expect(failure(() => openJobStore(join(locked, "deeper", "jobs.db")))).toMatchObject({
        code: "database-unusable",
        message: expect.stringContaining("permission is denied"),
      });
    });
    chmodSync(locked, 0o755);
  });

  it("that may only be read is refused", () => {
    openWithJob().close();
    chmodSync(file, 0o444);
    chmodSync(folder, 0o555);
    asOrdinaryUser(() => {
      expect(failure(() => openJobStore(file))).toMatchObject({
        code: "database-unusable",
        message: expect.stringContaining("read-only"),
      });
    });
  });

  it("with an entry of no known form names the entry", () => {
    const store = openWithJob();
    const raw = new Sqlite(file);
    const add = raw.prepare("INSERT INTO entry VALUES (?, ?, ?, ?, ?)");
    add.run(job, 1, idOf(1), at, '{"kind":"dance"}');
    expect(failure(() => store.log(job))).toMatchObject({
      code: "database-broken",
      message: expect.stringContaining("entry 1 of a log"),
    });
    add.run(job, 2, idOf(2), at, "{");
    expect(failure(() => store.log(job, 2)).message).toContain("entry 2 of a log");
    raw.close();
    store.close();
  });
});

/** The owner of everything may write anywhere: the check is made as somebody else. */
function asOrdinaryUser(act: () => void): void {
  const { geteuid, seteuid } = process;
  if (geteuid?.call(process) !== 0 || seteuid === undefined) {
    act();
    return;
  }
  chmodSync(folder, 0o555);
  seteuid.call(process, 65_534);
  try {
    act();
  } finally {
    seteuid.call(process, 0);
  }
}

describe("errors of a database", () => {
  it("of a broken rule are mistakes of ours and stay what they are", () => {
    const error = Object.assign(new Error("UNIQUE"), { code: "SQLITE_CONSTRAINT_UNIQUE" });
    expect(databaseError("f", error)).toBe(error);
    expect(databaseError("f", "text")).toBe("text");
  });

  it("of a module that was never built name the remedy", () => {
    const error = new Error("Could not locate the bindings file. Tried: …");
    expect(databaseError("f", error)).toMatchObject({
      code: "database-unusable",
      message: expect.stringContaining("npm rebuild better-sqlite3"),
    });
  });

  it.each([
    ["SQLITE_BUSY_SNAPSHOT", "database-locked"],
    ["SQLITE_IOERR_WRITE", "database-unusable"],
    ["SQLITE_READONLY_DIRECTORY", "database-unusable"],
    ["SQLITE_CANTOPEN", "database-unusable"],
    ["SQLITE_CORRUPT_INDEX", "database-broken"],
    ["ENOSPC", "database-unusable"],
  ])("%s is %s", (code, expected) => {
    expect(databaseError("f", Object.assign(new Error("x"), { code }))).toMatchObject({ code: expected });
  });
});

describe("the usual folder", () => {
  it.each([
    ["linux", {}, "/home/ann/.local/share/boardwake"],
    ["linux", { XDG_DATA_HOME: "/data" }, "/data/boardwake"],
    ["linux", { XDG_DATA_HOME: "relative" }, "/home/ann/.local/share/boardwake"],
    ["darwin", {}, "/home/ann/Library/Application Support/boardwake"],
    ["win32", { APPDATA: "/roaming" }, "/roaming/boardwake"],
  ])("on %s with %j is %s", (platform, env, expected) => {
    expect(usualDataFolder({ platform, home: "/home/ann", env })).toBe(expected);
  });
});
