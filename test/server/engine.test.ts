import { afterEach, describe, expect, it } from "vitest";
import type { Findings } from "../../src/app/api/findings.js";
import type { StreamEvent } from "../../src/app/api/stream.js";
import { BenchBoards } from "../../src/app/jobs/bench-boards.js";
import { JobBook } from "../../src/app/jobs/job-book.js";
import { Refusal } from "../../src/app/jobs/refusal.js";
import { BoardwakeError } from "../../src/core/base/errors.js";
import type { Engine } from "../../src/server/engine/engine.js";
import { fromPlainError, toPlainError } from "../../src/server/engine/messages.js";
import { ThreadEngine } from "../../src/server/engine/thread-engine.js";
import { FindingsDesk } from "../../src/server/findings-desk.js";
import { Hub, type Listener } from "../../src/server/hub.js";
import { openJobStore } from "../../src/store/jobs/job-store.js";
import { installedDataFolder, openStore } from "../../src/store/store.js";
import { idFor } from "../support/bench.js";

const engines: ThreadEngine[] = [];
afterEach(async () => {
  for (const engine of engines.splice(0)) await engine.close();
});

function openEngine(script: string): ThreadEngine {
  const engine = new ThreadEngine({
    script: new URL(`../support/${script}`, import.meta.url),
    dataFolder: installedDataFolder,
  });
  engines.push(engine);
  return engine;
}

const cancelled = { code: "work-cancelled" };

describe("the engine in a thread of its own", () => {
  it("tells how far it has come, stops when it is told to, and begins again", async () => {
    const engine = openEngine("engine-thread.mjs");
    const shares: number[] = [];
    const warmed = engine.run(
      "warm",
      { board: "pellow-16" },
      {
        key: "a",
        onProgress: (share) => {
          shares.push(share);
          engine.cancel("a");
        },
      },
    );
    await expect(warmed).rejects.toMatchObject(cancelled);
    expect(shares.length).toBeGreaterThan(0);
    expect(await engine.run("warm", { board: "merrow" }, { key: "b" })).toEqual({ ready: true });
  });

  it("gives back the errors of the work as they are", async () => {
    const engine = openEngine("engine-thread.mjs");
    await expect(engine.run("warm", { board: "merow" }, { key: "a" })).rejects.toMatchObject({
      code: "board-unknown",
      message: expect.stringContaining("Did you mean 'merrow'?"),
    });
  });

  it("drops what waits, and ends a thread that does not listen", async () => {
    const engine = openEngine("stubborn-thread.mjs");
    const order = { board: "merrow" };
    expect(await engine.run("warm", order, { key: "first" })).toEqual({ ready: true });
    const stuck = engine.run("warm", order, { key: "stuck" });
    const waiting = engine.run("warm", order, { key: "waiting" });
    const dropped = engine.run("warm", order, { key: "dropped" });
    engine.drop("dropped");
    await expect(dropped).rejects.toMatchObject(cancelled);
    engine.cancel("stuck");
    await expect(stuck).rejects.toMatchObject(cancelled);
    // What waited is done by a new thread.
    expect(await waiting).toEqual({ ready: true });
  });

  it("takes no more work than it can hold", async () => {
    const engine = openEngine("stubborn-thread.mjs");
    const order = { board: "merrow" };
    await engine.run("warm", order, { key: "first" });
    const held = Array.from({ length: 201 }, () =>
      engine.run("warm", order, { key: "held" }).catch(() => {}),
    );
    await expect(engine.run("warm", order, { key: "late" })).rejects.toMatchObject({ code: "too-busy" });
    await engine.close();
    await Promise.all(held);
    await expect(engine.run("warm", order, { key: "closed" })).rejects.toMatchObject(cancelled);
  });

  it("fails the work of a thread that ends by itself, and goes on with a new one", async () => {
    const engine = openEngine("missing-thread.mjs");
    await expect(engine.run("warm", { board: "merrow" }, { key: "a" })).rejects.toMatchObject({
      code: "internal",
    });
    await expect(engine.run("warm", { board: "merrow" }, { key: "b" })).rejects.toMatchObject({
      code: "internal",
    });
  });
});

describe("errors on their way between threads", () => {
  it("stay what they are", () => {
    const known = new BoardwakeError("board-unknown", { board: "x", hint: "" });
    const problem = {
      code: "unknown-place",
      severity: "error",
      message: "No.",
      where: { field: "at" },
    } as const;
    expect(fromPlainError(toPlainError(known))).toMatchObject({
      code: "board-unknown",
      message: known.message,
    });
    const back = fromPlainError(toPlainError(new Refusal(problem)));
    expect(back).toBeInstanceOf(Refusal);
    expect(back).toMatchObject({ problem });
    expect(fromPlainError(toPlainError(new TypeError("odd\nthing")))).toMatchObject({
      code: "internal",
      message: "Something went wrong inside boardwake: TypeError: odd thing.",
    });
  });
});

/** An engine whose work ends when the test says so. */
class SlowEngine implements Engine {
  readonly waiting = new Map<string, { resolve(value: unknown): void; reject(error: Error): void }>();
  readonly asked: string[] = [];

  run<T>(_task: unknown, _order: unknown, { key }: { readonly key: string }): Promise<T> {
    this.asked.push(key);
    return new Promise<T>((resolve, reject) => {
      this.waiting.set(key, { resolve: (value) => resolve(value as T), reject });
    });
  }
  cancel(key: string): void {
    this.waiting.get(key)?.reject(new BoardwakeError("work-cancelled", {}));
  }
  drop(key: string): void {
    this.cancel(key);
  }
  close(): Promise<void> {
    return Promise.resolve();
  }
}

describe("the desk of findings", () => {
  const job = idFor("desk");
  function open() {
    const store = openJobStore(":memory:");
    const book = new JobBook(store, new BenchBoards(openStore()), () => "2026-03-01T10:00:00.000Z");
    book.open({ id: job, board: "merrow", title: "T", instruments: [], entries: [] });
    const engine = new SlowEngine();
    const hub = new Hub();
    const events: StreamEvent[] = [];
    const listener: Listener = {
      about: undefined,
      send: (text) => {
        const data = /^data: (.*)$/m.exec(text)?.[1];
        if (data !== undefined) events.push(JSON.parse(data));
      },
      waitingBytes: () => 0,
      end: () => {},
    };
    hub.join(listener);
    const note = (name: string) => book.add(job, { id: idFor(name), entry: { kind: "note", text: name } });
    return { book, engine, events, note, desk: new FindingsDesk(book, engine, hub) };
  }
  const made = (revision: number): Findings => ({
    job,
    revision,
    result: {
      board: "merrow",
      suspects: [],
      groups: [],
      next: [],
      notInModel: 0,
      nothingLeft: 1,
      contradiction: null,
      supplyGate: { state: "open", implied: false },
      pairs: { looked: 0, settledTogether: 0, leftOut: 0, leading: [] },
      stop: false,
      warnings: [],
      problems: [],
    },
    steps: [],
    previous: [],
  });

  it("works each revision out once and remembers it", async () => {
    const { desk, engine, events } = open();
    const [one, two] = [desk.findings(job), desk.findings(job)];
    engine.waiting.get(`findings:${job}:1`)?.resolve(made(1));
    expect(await one).toBe(await two);
    expect(await desk.findings(job)).toBe(await one);
    expect(engine.asked).toHaveLength(1);
    expect(events.filter(({ type }) => type === "findings")).toHaveLength(1);
  });

  it("lets go of work that a newer entry has made needless, without a word", async () => {
    const { desk, engine, events, note } = open();
    const old = desk.findings(job);
    note("newer");
    const fresh = desk.findings(job);
    await expect(old).rejects.toMatchObject(cancelled);
    engine.waiting.get(`findings:${job}:2`)?.resolve(made(2));
    expect((await fresh).revision).toBe(2);
    expect(events.map(({ type }) => type)).toEqual(["findings"]);
  });

  it("answers a tap without findings if they take long, and tells them later", async () => {
    const { desk, engine, events } = open();
    expect(await desk.soon(job, 5)).toBeNull();
    engine.waiting.get(`findings:${job}:1`)?.resolve(made(1));
    await desk.findings(job);
    expect(events).toMatchObject([{ type: "findings", id: job, revision: 1 }]);
  });

  it("tells that work was stopped, and why", async () => {
    const { desk, engine, events } = open();
    const work = desk.findings(job);
    expect(desk.cancel(job)).toBe(true);
    await expect(work).rejects.toMatchObject(cancelled);
    expect(events).toMatchObject([{ type: "stopped", id: job, revision: 1, code: "work-cancelled" }]);
    expect(desk.cancel(job)).toBe(false);
    const broken = desk.findings(job);
    engine.waiting.get(`findings:${job}:1`)?.reject(new RangeError("odd"));
    await expect(broken).rejects.toThrow("odd");
    expect(events.at(-1)).toMatchObject({ type: "stopped", code: "internal" });
  });
});

describe("the hub", () => {
  function listener(about?: string) {
    const heard: string[] = [];
    const state = { waiting: 0, isEnded: false };
    const made: Listener = {
      about,
      send: (text) => void heard.push(text),
      waitingBytes: () => state.waiting,
      end: () => {
        state.isEnded = true;
      },
    };
    return { made, heard, state };
  }

  it("spares a listener the findings of other jobs, but not the news", () => {
    const hub = new Hub();
    const one = listener(idFor("a"));
    hub.join(one.made);
    hub.send({ type: "progress", id: idFor("b"), share: 0.5, doing: "x" });
    hub.send({ type: "progress", id: idFor("a"), share: 0.5, doing: "x" });
    hub.send({ type: "devices" });
    expect(one.heard.map((text) => /"type":"(\w+)"/.exec(text)?.[1])).toEqual(["progress", "devices"]);
  });

  it("lets go of a listener that does not keep up", () => {
    const hub = new Hub();
    const slow = listener();
    hub.join(slow.made);
    slow.state.waiting = 5_000_000;
    hub.send({ type: "devices" });
    expect([hub.size, slow.state.isEnded, slow.heard.length]).toEqual([0, true, 0]);
  });

  it("takes only so many", () => {
    const hub = new Hub();
    for (let i = 0; i < 64; i += 1) hub.join(listener().made);
    expect(() => hub.join(listener().made)).toThrow("The bench is busy");
  });
});
