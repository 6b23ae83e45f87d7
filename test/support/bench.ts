import { createHash } from "node:crypto";
import type { FastifyInstance, InjectOptions, LightMyRequestResponse } from "fastify";
import { EngineRoom } from "../../src/app/bench/engine-room.js";
import { Doors } from "../../src/server/access/doors.js";
import { Bench, type BenchParts } from "../../src/server/bench.js";
import { InlineEngine } from "../../src/server/engine/inline-engine.js";
import { createHttpServer } from "../../src/server/http/server.js";
import type { WebFile } from "../../src/server/http/web-files.js";
import { type JobStore, openJobStore } from "../../src/store/jobs/job-store.js";
import { openStore } from "../../src/store/store.js";

const store = openStore();
// One for a test file: making a board ready takes seconds, and what a room keeps changes no answer.
const room = new EngineRoom(store);

/** A bench without a port: requests are put in by hand. */
export interface TestBench {
  readonly bench: Bench;
  readonly app: FastifyInstance;
  readonly jobs: JobStore;
  /** Sends a request as the page on the bench's own machine does. */
  ask(
    method: "GET" | "POST" | "DELETE",
    path: string,
    body?: unknown,
    more?: Partial<InjectOptions>,
  ): Promise<Asked>;
  /** Lets time pass. */
  wait(milliseconds: number): void;
  close(): Promise<void>;
}

/** What was answered. */
export interface Asked {
  readonly status: number;
  readonly body: unknown;
  readonly headers: LightMyRequestResponse["headers"];
}

const start = Date.parse("2026-03-01T10:00:00.000Z");

/** Puts a bench together with an empty database in memory; `more` replaces parts of it. */
export function openTestBench(
  more: Partial<BenchParts> & { readonly webFiles?: ReadonlyMap<string, WebFile> } = {},
): TestBench {
  const { webFiles = new Map(), ...parts } = more;
  const jobs = more.jobs ?? openJobStore(":memory:");
  let time = start;
  const bench = new Bench({
    store,
    jobs,
    engine: new InlineEngine(room),
    practiceEngine: new InlineEngine(room),
    version: "1.2.3",
    now: () => time,
    isShared: false,
    addresses: () => [],
    ...parts,
  });
  const doors = new Doors(bench.parts.isShared ? ["192.0.2.1"] : [], 4780);
  const app = createHttpServer({ bench, doors, webFiles, webFolder: "web" });
  return {
    bench,
    app,
    jobs,
    ask: async (method, path, body, options = {}) => {
      const response = await app.inject({
        method,
        url: `/api/v1${path}`,
        ...(body === undefined ? {} : { payload: JSON.stringify(body) }),
        ...options,
        headers: {
          host: "localhost:4780",
          ...(body === undefined ? {} : { "content-type": "application/json" }),
          ...options.headers,
        },
      });
      return { status: response.statusCode, body: JSON.parse(response.body), headers: response.headers };
    },
    wait: (milliseconds) => {
      time += milliseconds;
    },
    close: async () => {
      await bench.close();
      await app.close();
      jobs.close();
    },
  };
}

/** An id as a client makes it, always the same for the same name. */
export function idFor(name: string): string {
  const hex = createHash("sha256").update(name).digest("hex");
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-4${hex.slice(13, 16)}-8${hex.slice(17, 20)}-${hex.slice(20, 32)}`;
}
