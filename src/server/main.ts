import { hostname, networkInterfaces } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { isMainThread, parentPort, workerData } from "node:worker_threads";
import { EngineRoom } from "../app/bench/engine-room.js";
import { BenchBoards } from "../app/jobs/bench-boards.js";
import { addDemoJobs } from "../app/jobs/demo-jobs.js";
import { BoardwakeError } from "../core/base/errors.js";
import { databaseName, usualFolder } from "../store/jobs/data-folder.js";
import { openJobStore } from "../store/jobs/job-store.js";
import { installedDataFolder, openStore } from "../store/store.js";
import { Doors } from "./access/doors.js";
import { Bench } from "./bench.js";
import { isThreadStart, reasonOf } from "./engine/messages.js";
import { serveEngine } from "./engine/thread.js";
import { ThreadEngine } from "./engine/thread-engine.js";
import { createHttpServer } from "./http/server.js";
import { readWebFiles } from "./http/web-files.js";

/** How the bench is served. */
export interface ServeOptions {
  /** 0: the system chooses one. */
  readonly port: number;
  /** True to let other devices on the local network join by a pairing code. */
  readonly isShared: boolean;
  /** Folder of the job database; the usual one for this system if absent. */
  readonly folder?: string;
  readonly version: string;
  /** Told when the pairing code has changed, with the label of the device that used the last one, if one did. */
  readonly onNewCode?: (code: string, pairedLabel: string | undefined) => void;
  /** Folder of the built page; that of this installation if absent. */
  readonly webFolder?: string;
  /** Script of the worker threads; this file if absent. Only needed where it runs from its TypeScript source. */
  readonly threadScript?: URL;
}

/** A bench that is being served. */
export interface RunningBench {
  /** Address for this machine. */
  readonly address: string;
  /** Addresses for other devices; empty if the bench is not shared. */
  readonly addresses: readonly string[];
  readonly port: number;
  /** Path of the job database. */
  readonly database: string;
  /** Code for the next device; undefined if the bench is not shared. */
  code(): string | undefined;
  /** Stops serving and closes the database. */
  close(): Promise<void>;
}

/** Open jobs whose findings are worked out at the start, so that they are there when somebody looks. */
const warmedJobs = 2;

/**
 * Opens the job database and serves the bench. Throws `database-newer`, `database-locked`, `database-unusable`,
 * `database-broken`, and `port-refused`; nothing is left open then.
 */
export async function serveBench(options: ServeOptions): Promise<RunningBench> {
  const store = openStore();
  const database = join(options.folder ?? usualFolder(), databaseName);
  const jobs = openJobStore(database);
  try {
    addDemoJobs(store, jobs, new BenchBoards(store, jobs));
  } catch (error) {
    jobs.close();
    throw error;
  }
  const script = options.threadScript ?? new URL(import.meta.url);
  const thread = { script, dataFolder: installedDataFolder };
  const networkNames = options.isShared ? localAddresses() : [];
  let port = options.port;
  const addresses = (): string[] => networkNames.map((name) => `http://${name}:${port}`);
  const bench = new Bench({
    store,
    jobs,
    engine: new ThreadEngine(thread),
    practiceEngine: new ThreadEngine(thread),
    version: options.version,
    now: Date.now,
    isShared: options.isShared,
    addresses,
  });
  bench.pairing.onNewCode = (label) => options.onNewCode?.(bench.pairing.code, label);
  const doors = new Doors(options.isShared ? [...networkNames, ...ownNames()] : [], port);
  const webFolder = options.webFolder ?? fileURLToPath(new URL("../web", import.meta.url));
  const app = createHttpServer({ bench, doors, webFiles: readWebFiles(webFolder), webFolder });
  const close = async (): Promise<void> => {
    await bench.close();
    await app.close();
    jobs.close();
  };
  const host = options.isShared ? "0.0.0.0" : "127.0.0.1";
  try {
    await app.listen({ port, host });
  } catch (cause) {
    await close();
    throw new BoardwakeError(
      "port-refused",
      { host, port: String(port), reason: listenReason(cause) },
      cause,
    );
  }
  const bound = app.server.address();
  if (typeof bound === "object" && bound !== null) port = bound.port;
  doors.setPort(port);
  bench.start();
  for (const { id } of bench.book
    .list()
    .filter(({ state }) => state === "open")
    .slice(0, warmedJobs))
    bench.desk.findings(id).catch(() => {});
  return {
    address: `http://localhost:${port}`,
    addresses: addresses(),
    port,
    database,
    code: () => (options.isShared ? bench.pairing.code : undefined),
    close,
  };
}

function localAddresses(): string[] {
  return Object.values(networkInterfaces())
    .flatMap((list) => list ?? [])
    .filter(({ family, internal }) => family === "IPv4" && !internal)
    .map(({ address }) => address);
}

function ownNames(): string[] {
  const name = hostname().toLowerCase();
  return name.includes(".") ? [name] : [name, `${name}.local`];
}

function listenReason(cause: unknown): string {
  const code = cause instanceof Error && "code" in cause ? String(cause.code) : "";
  if (code === "EADDRINUSE") return "another program uses it";
  if (code === "EACCES") return "permission is denied; ports from 1024 on are free to use";
  if (code === "EADDRNOTAVAIL") return "this machine has no such address";
  return code === "ERR_SOCKET_BAD_PORT" ? "there is no such port" : reasonOf(cause);
}

// The worker threads run this same file: here is where the installed data are opened.
if (!isMainThread && parentPort !== null && isThreadStart(workerData)) {
  serveEngine(parentPort, new EngineRoom(openStore(workerData.dataFolder)), workerData.cancelled);
}
