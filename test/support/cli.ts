import type { BenchDoor, ServeWish } from "../../src/cli/bench-door.js";
import type { CliIo } from "../../src/cli/io.js";
import { run } from "../../src/cli/run.js";
import { BoardwakeError } from "../../src/core/base/errors.js";
import { bytesOf } from "../../src/core/signal/byte-stream.js";
import { type JobStore, openJobStore } from "../../src/store/jobs/job-store.js";
import { openStore, type Store } from "../../src/store/store.js";
import { tooLarge } from "../../src/store/text-file.js";

/** What a command line did. */
export interface CliRun {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

/** What a command line is given besides its words. */
export interface CliInput {
  /** Everything on the input stream, for `-`. */
  readonly text?: string;
  /** The same as bytes. */
  readonly bytes?: Uint8Array;
  /** Lines typed in a session, one after the other; then the input ends. */
  readonly lines?: readonly string[];
  readonly isInteractive?: boolean;
  readonly hasColour?: boolean;
  readonly store?: Store;
  /** Jobs that commands find, whatever folder they name; an empty database that is forgotten afterwards if absent. */
  readonly jobs?: JobStore;
  /** Takes the place of the server: what is asked of it is told, and what it throws is thrown. */
  readonly onServe?: (wish: ServeWish) => void;
}

const installed = openStore();

/** Runs a command line in this process, with everything it writes kept. */
export async function runCli(argv: readonly string[], input: CliInput = {}): Promise<CliRun> {
  const out: string[] = [];
  const err: string[] = [];
  const lines = [...(input.lines ?? [])];
  const io: CliIo = {
    out: (text) => void out.push(text),
    err: (text) => void err.push(text),
    readAll: (maximumBytes) => {
      const text = input.text ?? "";
      if (text.length <= maximumBytes) return Promise.resolve(text);
      const reason = tooLarge(text.length, maximumBytes);
      return Promise.reject(new BoardwakeError("file-unreadable", { file: "the input stream", reason }));
    },
    readBytes: () => bytesOf("input stream", input.bytes ?? new Uint8Array(0)).chunks,
    readLine: (prompt) => {
      out.push(prompt);
      const line = lines.shift();
      if (line !== undefined) out.push(`${line}\n`);
      return Promise.resolve(line);
    },
    close: () => {},
    isInteractive: input.isInteractive === true,
    hasColour: input.hasColour === true,
  };
  const bench = benchFor(input, (text) => void out.push(text));
  const code = await run(argv, { io, store: input.store ?? installed, bench, version: "0.0.0" });
  return { code, out: out.join(""), err: err.join("") };
}

let ids = 0;

/** Time stands still, ids count up from one command to the next, and what would be shown in a browser is written out. */
function benchFor(input: CliInput, write: (text: string) => void): BenchDoor {
  return {
    openJobs: () => Promise.resolve(keptOpen(input.jobs ?? openJobStore(":memory:"))),
    serve: (wish) => {
      input.onServe?.(wish);
      const code = wish.isShared ? "ABCD-2345" : undefined;
      return Promise.resolve({
        address: `http://localhost:${wish.port}`,
        addresses: wish.isShared ? [`http://192.0.2.7:${wish.port}`] : [],
        database: `${wish.folder ?? "usual"}/jobs.db`,
        code: () => code,
        close: () => Promise.resolve(),
      });
    },
    showAddress: (address) => {
      write(`shown: ${address}\n`);
      return true;
    },
    untilStopped: () => Promise.resolve(),
    now: () => "2026-03-01T10:00:00.000Z",
    newId: () => {
      ids += 1;
      return `00000000-0000-4000-8000-${String(ids).padStart(12, "0")}`;
    },
  };
}

/** The same jobs, not closed with the command that was lent them. */
function keptOpen(jobs: JobStore): JobStore {
  return new Proxy(jobs, {
    get: (target, name) => {
      if (name === "close") return () => {};
      const value: unknown = Reflect.get(target, name, target);
      return typeof value === "function" ? value.bind(target) : value;
    },
  });
}

/** Lines wider than a page of 80 columns. */
export function wideLines(text: string): string[] {
  return text.split("\n").filter((line) => [...line].length > 80);
}
