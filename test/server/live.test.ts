import { mkdtempSync, rmSync } from "node:fs";
import { get, type IncomingMessage } from "node:http";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { jobSummarySchema } from "../../src/app/api/jobs.js";
import { type StreamEvent, streamEventSchema } from "../../src/app/api/stream.js";
import { BenchBoards } from "../../src/app/jobs/bench-boards.js";
import { JobBook } from "../../src/app/jobs/job-book.js";
import { type RunningBench, type ServeOptions, serveBench } from "../../src/server/main.js";
import { openJobStore } from "../../src/store/jobs/job-store.js";
import { openStore } from "../../src/store/store.js";
import { idFor } from "../support/bench.js";

let folder = "";
let bench: RunningBench;
const options: ServeOptions = {
  port: 0,
  isShared: false,
  version: "1.2.3",
  threadScript: new URL("../support/engine-thread.mjs", import.meta.url),
};

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "boardwake-live-"));
  bench = await serveBench({ ...options, folder });
});
afterAll(async () => {
  await bench.close();
  rmSync(folder, { recursive: true, force: true });
});

/** Somebody who listens to the stream. */
class Listener {
  readonly events: StreamEvent[] = [];
  private response: IncomingMessage | undefined;
  private text = "";
  private waiting: (() => void)[] = [];

  static async open(about = ""): Promise<Listener> {
    const listener = new Listener();
    await new Promise<void>((resolve, reject) => {
      get(`http://127.0.0.1:${bench.port}/api/v1/stream${about}`, (response) => {
        listener.response = response;
        response.setEncoding("utf8");
        response.on("data", (chunk: string) => listener.hear(chunk));
        response.on("error", () => {});
        resolve();
      }).on("error", reject);
    });
    await listener.next("hello");
    return listener;
  }

  /** The first event of a type that the test accepts, past or to come. */
  async next<T extends StreamEvent["type"]>(
    type: T,
    accepts: (event: Extract<StreamEvent, { type: T }>) => boolean = () => true,
  ): Promise<Extract<StreamEvent, { type: T }>> {
    const isWanted = (event: StreamEvent): event is Extract<StreamEvent, { type: T }> => event.type === type;
    for (;;) {
      const found = this.events.filter(isWanted).find(accepts);
      if (found !== undefined) return found;
      await new Promise<void>((resolve) => this.waiting.push(resolve));
    }
  }

  close(): void {
    this.response?.destroy();
  }

  private hear(chunk: string): void {
    this.text += chunk;
    const blocks = this.text.split("\n\n");
    this.text = blocks.pop() ?? "";
    for (const block of blocks) {
      const data = /^data: (.*)$/m.exec(block)?.[1];
      if (data !== undefined) this.events.push(streamEventSchema.parse(JSON.parse(data)));
    }
    for (const wake of this.waiting.splice(0)) wake();
  }
}

async function ask(method: string, path: string, body?: unknown): Promise<{ status: number; body: unknown }> {
  const response = await fetch(`http://127.0.0.1:${bench.port}/api/v1${path}`, {
    method,
    ...(body === undefined
      ? {}
      : { body: JSON.stringify(body), headers: { "content-type": "application/json" } }),
  });
  return { status: response.status, body: await response.json() };
}

function note(name: string): { id: string; entry: { kind: "note"; text: string } } {
  return { id: idFor(name), entry: { kind: "note", text: name } };
}

const opening = {
  id: idFor("live"),
  board: "merrow",
  title: "Live",
  instruments: ["multimeter"],
  entries: [],
};

describe("a bench that is served for the first time", () => {
  it("holds an open and a closed job that came with the program", async () => {
    const jobs = jobSummarySchema.array().parse((await ask("GET", "/jobs")).body);
    expect(jobs.map(({ state, demo }) => [state, demo])).toEqual([
      ["open", true],
      ["closed", true],
    ]);
    expect(jobs[1]?.verdict?.part).toBe("U33");
  });

  it("does not get them a second time", async () => {
    const other = mkdtempSync(join(tmpdir(), "boardwake-live-"));
    for (const expected of [2, 3]) {
      const second = await serveBench({ ...options, folder: other });
      const response = await fetch(`http://127.0.0.1:${second.port}/api/v1/jobs`);
      const jobs = jobSummarySchema.array().parse(await response.json());
      await second.close();
      expect(jobs).toHaveLength(expected);
      const store = openJobStore(second.database);
      if (expected === 2)
        new JobBook(store, new BenchBoards(openStore()), () => "2026-03-01T10:00:00.000Z").open({
          ...opening,
          instruments: ["multimeter"],
        });
      store.close();
    }
    rmSync(other, { recursive: true });
  });
});

describe("two who listen", () => {
  it("hear of an entry and of its findings, worked out in another thread", async () => {
    const [one, two] = [await Listener.open(), await Listener.open(`?about=${opening.id}`)];
    expect((await ask("POST", "/jobs", opening)).status).toBe(200);
    const symptom = { id: idFor("s"), entry: { kind: "symptom", what: "no-picture" } };
    expect((await ask("POST", `/jobs/${opening.id}/entries`, symptom)).status).toBe(200);
    for (const listener of [one, two]) {
      const told = await listener.next("job", ({ id, revision }) => id === opening.id && revision === 2);
      expect(told.lines.map(({ number }) => number)).toEqual([2]);
      const findings = await listener.next(
        "findings",
        ({ id, revision }) => id === opening.id && revision === 2,
      );
      expect(findings.findings.result.board).toBe("merrow");
    }
    expect(two.events.filter((event) => event.type === "findings" && event.id !== opening.id)).toEqual([]);
    one.close();
    two.close();
  });

  it("hear of what another program adds to the same database", async () => {
    const listener = await Listener.open();
    const store = openJobStore(bench.database);
    const book = new JobBook(store, new BenchBoards(openStore()), () => "2026-03-01T10:00:00.000Z");
    const added = book.add(opening.id, note("from elsewhere"));
    store.close();
    const told = await listener.next("job", ({ revision }) => revision === added.job.state.revision);
    expect(told.lines.at(-1)?.text).toBe("Note: from elsewhere");
    listener.close();
  });

  it("hear which entries are struck out", async () => {
    const listener = await Listener.open();
    await ask("POST", `/jobs/${opening.id}/entries`, { id: idFor("u"), entry: { kind: "strike", entry: 2 } });
    const told = await listener.next("job", ({ id }) => id === opening.id);
    expect(told.struck).toEqual([2]);
    listener.close();
  });
});

describe("a bench that cannot be served", () => {
  it("on a port that is taken says so and leaves nothing open", async () => {
    const taken = createServer();
    await new Promise<void>((resolve) => taken.listen(0, "127.0.0.1", resolve));
    const address = taken.address();
    const port = typeof address === "object" && address !== null ? address.port : 0;
    const other = mkdtempSync(join(tmpdir(), "boardwake-live-"));
    await expect(serveBench({ ...options, port, folder: other })).rejects.toMatchObject({
      code: "port-refused",
      message: `Cannot listen on 127.0.0.1 port ${port}: another program uses it.`,
    });
    const store = openJobStore(join(other, "jobs.db"));
    expect(store.jobs()).toHaveLength(2);
    store.close();
    taken.close();
    rmSync(other, { recursive: true });
  });
});
