import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { entryAnswerSchema } from "../../src/app/api/jobs.js";
import {
  memoryAnswerSchema,
  memoryMeansSchema,
  pictureAnswerSchema,
  seenAnswerSchema,
} from "../../src/app/api/memory.js";
import {
  beaconVerdictSchema,
  selfTestImageSchema,
  selfTestSheetSchema,
} from "../../src/app/api/self-test.js";
import { errorBodySchema } from "../../src/app/api/shapes.js";
import { idFor, openTestBench, type TestBench } from "../support/bench.js";

// Making both boards ready takes seconds, and other tests may run beside these.
vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

let test: TestBench;
const pellow = idFor("pellow job");
const merrow = idFor("merrow job");

beforeAll(async () => {
  test = openTestBench();
  for (const [id, board] of [
    [pellow, "pellow-16"],
    [merrow, "merrow"],
  ] as const)
    await test.ask("POST", "/jobs", { id, board, title: board, instruments: ["multimeter"], entries: [] });
});
afterAll(() => test.close());

/** A list in which data bit 2 reads low at every address of a range. */
function bitLow(bit: number, from: number, count: number): string {
  const hex = (value: number): string => `$${value.toString(16).toUpperCase()}`;
  return Array.from({ length: count }, (_, k) => `${hex(from + k)},$FF,${hex(0xff & ~(1 << bit))}`).join(
    "\n",
  );
}

describe("the memory of a job's board", () => {
  it("is named with its chips, and the faults that can be drawn", async () => {
    const { status, body } = await test.ask("GET", `/jobs/${pellow}/memory`);
    expect(status).toBe(200);
    const means = memoryMeansSchema.parse(body);
    expect(means.memories).toMatchObject([{ ranges: "0000-3FFF", dynamic: true }]);
    expect(means.picture).toMatchObject({ kind: "dots", columns: 32, rows: 192 });
    expect(means.problems).toEqual([]);
    const other = memoryMeansSchema.parse((await test.ask("GET", `/jobs/${merrow}/memory`)).body);
    expect(other.memories.map(({ ranges }) => ranges)).toEqual(["1000-1FFF", "2000-FFFF"]);
    expect(other.picture).toMatchObject({ kind: "characters", inverseBit: 7 });
  });

  it("is not known for a job that is not there", async () => {
    expect((await test.ask("GET", "/jobs/nobody/memory")).status).toBe(404);
  });
});

describe("failing addresses", () => {
  it("are explained, drawn, and go into the log as evidence", async () => {
    const text = bitLow(2, 0x2000, 0x800);
    const asked = await test.ask("POST", `/jobs/${pellow}/memory/explain`, { text, tested: "$2000-$27FF" });
    expect(asked.status).toBe(200);
    const { explanations, memories, entry, says } = memoryAnswerSchema.parse(asked.body);
    expect(explanations[0]).toMatchObject({
      kind: "chip-bit",
      picture: { kind: "bits-stuck", bits: [2], level: 0 },
    });
    expect(explanations[0]?.parts[0]?.part).toBe("U19");
    const panel = memories[0]?.panels.find(({ bit }) => bit === 2);
    expect(panel).toMatchObject({ part: "U19", failing: 0x800, tested: 0x800, across: 64 });
    expect(panel?.states).toHaveLength(64 * 64);
    expect(new Set(panel?.states)).toEqual(new Set(["0", "3"]));
    expect(says).toMatch(/^Memory test: /);
    const added = await test.ask("POST", `/jobs/${pellow}/entries`, { id: idFor("memory entry"), entry });
    expect(added.status).toBe(200);
    expect(entryAnswerSchema.parse(added.body).line.text).toBe(says);
  });

  it.each<[string, object, string, string]>([
    ["mixed notations", { text: "$2000,$FF,$FB\n0x2001,0xFF,0xFB" }, "failure-mixed", "Line 2: "],
    ["no addresses", { text: "address,expected,read" }, "failure-empty", ""],
    ["an address that is no RAM", { text: "E000,FF,FB" }, "failure-address", ""],
    ["ranges that are none", { text: "2000,FF,FB", tested: "2000 to 3000" }, "range-unreadable", ""],
  ])("are refused in one sentence: %s", async (_, given, code, start) => {
    const { status, body } = await test.ask("POST", `/jobs/${pellow}/memory/explain`, given);
    expect(status).toBe(422);
    const { error } = errorBodySchema.parse(body);
    expect(error.code).toBe(code);
    expect(error.message.startsWith(start)).toBe(true);
  });

  it("are refused where there are too many of them to be read", async () => {
    const { status } = await test.ask("POST", `/jobs/${pellow}/memory/explain`, {
      text: "2000,FF,FB\n".repeat(400_000),
    });
    expect(status).toBe(413);
  });
});

describe("the self-test", () => {
  const read = (messages: readonly (readonly string[])[], job = pellow) =>
    test.ask("POST", `/jobs/${job}/memory/self-test/read`, { messages });

  it("has a sheet for the board", async () => {
    const asked = await test.ask("POST", `/jobs/${pellow}/memory/self-test`, { unitSeconds: 0.5 });
    const sheet = selfTestSheetSchema.parse(asked.body);
    expect(sheet.probe).toEqual({ part: "U9", pin: "5" });
    expect(sheet.reading[0]).toContain("short is 0.5 s");
    const row = sheet.rows.find(({ signals }) => signals.join() === "short,long,long");
    expect(row).toMatchObject({ title: "data bit 3", parts: ["U20", "U31"] });
    expect(sheet.html).toMatch(/^<!doctype html>/);
  });

  it("is read from its signals, and what it says goes into the log", async () => {
    const { body } = await read([["short", "long", "long"]]);
    const { verdicts, entry, says } = beaconVerdictSchema.parse(body);
    expect(verdicts).toEqual([{ title: "data bit 3", parts: ["U20", "U31"] }]);
    expect(entry).toMatchObject({ kind: "memory-test", by: "self-test", verdict: "causes" });
    expect(says).toBe("Self-test: data bit 3");
    const added = await test.ask("POST", `/jobs/${pellow}/entries`, { id: idFor("self-test entry"), entry });
    expect(added.status).toBe(200);
    const good = beaconVerdictSchema.parse((await read([["short", "short"]])).body);
    expect(good.entry).toMatchObject({ verdict: "good" });
    const silent = beaconVerdictSchema.parse((await read([])).body);
    expect(silent.entry).toMatchObject({ verdict: "silent" });
  });

  it("is built for a Z80 board after it was tried, in all forms", async () => {
    const asked = await test.ask("POST", `/jobs/${merrow}/memory/self-test/build`, {
      options: { ranges: "2000-21FF" },
      chip: "2764",
    });
    const image = selfTestImageSchema.parse(asked.body);
    expect(image).toMatchObject({ chip: "2764", bytes: 0x2000 });
    expect(image.trials).toHaveLength(3);
    const [binary, hex] = image.files.map(({ base64 }) => Buffer.from(base64, "base64"));
    expect(binary).toHaveLength(0x2000);
    // A larger chip holds copies.
    expect(binary?.subarray(0, 0x1000).equals(binary.subarray(0x1000))).toBe(true);
    expect(hex?.toString("latin1")).toMatch(/^:/);
    const small = await test.ask("POST", `/jobs/${merrow}/memory/self-test/build`, { chip: "27X" });
    expect(errorBodySchema.parse(small.body).error.code).toBe("chip-unknown");
  });

  it("refuses signals that mean nothing on the board, and ranges that are none", async () => {
    const asked = await read([Array.from({ length: 9 }, () => "long")]);
    expect(asked.status).toBe(422);
    expect(errorBodySchema.parse(asked.body).error.code).toBe("beacon-unreadable");
    const sheet = await test.ask("POST", `/jobs/${pellow}/memory/self-test`, { ranges: "8000-9FFF" });
    expect(errorBodySchema.parse(sheet.body).error.code).toBe("range-outside");
    const clock = await test.ask("POST", `/jobs/${pellow}/memory/self-test`, { clockHertz: 5 });
    expect(errorBodySchema.parse(clock.body).error.code).toBe("clock-impossible");
  });
});

describe("the screen", () => {
  it("is drawn with a fault and without", async () => {
    const asked = await test.ask("POST", `/jobs/${pellow}/memory/picture`, {
      fault: { kind: "bits-stuck", bits: [5], level: 1 },
      content: "zeros",
    });
    const { good, shown, look, width } = pictureAnswerSchema.parse(asked.body);
    expect(width).toBe(256);
    expect(good).toBe("00".repeat(32 * 192));
    expect(shown).toBe("20".repeat(32 * 192));
    expect(look).toContain("dot 3 of every 8");
    const text = await test.ask("POST", `/jobs/${merrow}/memory/picture`, {
      fault: { kind: "bits-stuck", bits: [2], level: 1 },
      content: "blank",
    });
    expect(pictureAnswerSchema.parse(text.body)).toMatchObject({ width: 40, shown: "24".repeat(960) });
  });

  it("leads back from what is seen to the bit", async () => {
    const stripes = await test.ask("POST", `/jobs/${pellow}/memory/seen`, {
      kind: "stripes",
      direction: "upright",
      every: 8,
      at: 3,
      wide: 1,
      becomes: "lit",
    });
    expect(seenAnswerSchema.parse(stripes.body).matches.map(({ parts }) => parts[0])).toEqual(["U22"]);
    const characters = await test.ask("POST", `/jobs/${merrow}/memory/seen`, {
      kind: "characters",
      pairs: [{ right: 0x20, wrong: 0x24 }],
    });
    expect(seenAnswerSchema.parse(characters.body).matches.map(({ parts }) => parts[0])).toEqual(["U33"]);
  });

  it("refuses a fault that is none", async () => {
    const asked = await test.ask("POST", `/jobs/${pellow}/memory/picture`, {
      fault: { kind: "bits-stuck", bits: [99], level: 1 },
      content: "zeros",
    });
    expect(asked.status).toBe(422);
  });
});
