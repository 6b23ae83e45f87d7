import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { boardDetailSchema, boardSummarySchema } from "../../src/app/api/boards.js";
import { findingsSchema } from "../../src/app/api/findings.js";
import {
  entryAnswerSchema,
  jobDetailSchema,
  jobSummarySchema,
  understoodSchema,
} from "../../src/app/api/jobs.js";
import { partPageSchema } from "../../src/app/api/part-page.js";
import { whyPageSchema } from "../../src/app/api/why-page.js";
import { caseSchema } from "../../src/core/find/case/case.js";
import { idFor, openTestBench, type TestBench } from "../support/bench.js";

let test: TestBench;
beforeAll(() => {
  test = openTestBench();
});
afterAll(() => test.close());

const job = idFor("job");
const opening = {
  id: job,
  board: "merrow",
  title: "Merrow from the attic",
  instruments: ["multimeter", "logic-probe"],
  year: 2026,
  entries: [
    { id: idFor("event"), entry: { kind: "event", what: "stored", before: true } },
    { id: idFor("symptom"), entry: { kind: "symptom", what: "wrong-characters" } },
  ],
};

let made = 0;
function add(entry: unknown, id?: string) {
  made += 1;
  return test.ask("POST", `/jobs/${job}/entries`, { id: id ?? idFor(`entry ${made}`), entry });
}

function reading(at: string, shows: string) {
  return { kind: "reading", at, with: "logic-probe", shows };
}

beforeAll(async () => {
  await test.ask("POST", "/jobs", opening);
}, 60_000);

describe("boards", () => {
  it("are listed", async () => {
    const { status, body } = await test.ask("GET", "/boards");
    expect(status).toBe(200);
    const boards = boardSummarySchema.array().parse(body);
    expect(boards.map(({ id }) => id)).toEqual(["merrow", "pellow-16"]);
    expect(boards[0]?.chips).toBeGreaterThan(30);
  });

  it("are described as they are drawn", async () => {
    const { body } = await test.ask("GET", "/boards/merrow");
    const board = boardDetailSchema.parse(body);
    const u33 = board.parts.find(({ ref }) => ref === "U33");
    expect(u33).toMatchObject({ type: "2114", shape: "chip", pinOne: "1" });
    expect(u33?.pins).toHaveLength(18);
    expect(board.nets.find(({ duty }) => duty === "ground")?.name).toBe(board.ground);
    expect(board.symptoms.map(({ id }) => id)).toContain("wrong-characters");
    expect(board.events).toContainEqual({ id: "wet", wording: "Got wet, or liquid was spilt into it" });
  });

  it("that are unknown are refused with the nearest name, and no path leads to a file", async () => {
    expect(await test.ask("GET", "/boards/merow")).toMatchObject({
      status: 404,
      body: { error: { code: "board-unknown", suggestions: ["merrow"] } },
    });
    for (const path of ["..%2f..%2fpackage.json", "data%2fboards%2fmerrow.json", "%2fetc%2fpasswd"])
      expect((await test.ask("GET", `/boards/${path}`)).status).toBe(404);
  });
});

describe("opening a job", () => {
  it("gives its log, its first entry being what the job is", async () => {
    const { status, body } = await test.ask("GET", `/jobs/${job}`);
    expect(status).toBe(200);
    const detail = jobDetailSchema.parse(body);
    expect(detail.job).toMatchObject({
      title: "Merrow from the attic",
      state: "open",
      year: 2026,
      demo: false,
    });
    expect(detail.log.slice(0, 3).map(({ number, text }) => [number, text])).toEqual([
      [
        1,
        "Job opened: 'Merrow from the attic'; board merrow; instruments: multimeter, logic-probe; year 2026",
      ],
      [2, "Happened: stored, before it failed"],
      [3, expect.stringContaining("Symptom: ")],
    ]);
  });

  it("twice with the same id opens it once, and not at all with other content", async () => {
    expect((await test.ask("POST", "/jobs", opening)).status).toBe(200);
    const { body } = await test.ask("GET", "/jobs");
    expect(jobSummarySchema.array().parse(body)).toHaveLength(1);
    expect(await test.ask("POST", "/jobs", { ...opening, title: "Another" })).toMatchObject({
      status: 409,
      body: { error: { code: "entry-conflict" } },
    });
  });

  it.each([
    ["an unknown board", { board: "pelow-16" }, 404, { code: "board-unknown", suggestions: ["pellow-16"] }],
    ["a path for a board", { board: "../../etc/passwd" }, 404, { code: "board-unknown" }],
    ["no title", { title: " " }, 422, { code: "field-invalid", where: "title" }],
    ["an unknown instrument", { instruments: ["logic-prob"] }, 422, { where: "instruments[0]" }],
    ["a field of no use", { colour: "red" }, 422, { code: "field-unknown", where: "colour" }],
    ["an id of its own making", { id: "1" }, 422, { code: "field-invalid", where: "id" }],
    [
      "an entry that its board does not take",
      { id: idFor("x"), entries: [{ id: idFor("y"), entry: reading("U333.1", "low") }] },
      422,
      { code: "unknown-place", where: "entries[0].entry", suggestions: ["U33"] },
    ],
    [
      "an unknown factor",
      { id: idFor("x"), priorFactors: { U999: 3 } },
      422,
      { code: "unknown-prior-factor" },
    ],
  ])("with %s is refused", async (_, change, status, error) => {
    const asked = await test.ask("POST", "/jobs", { ...opening, id: idFor("other"), ...change });
    expect(asked).toMatchObject({ status, body: { error } });
    expect((await test.ask("GET", "/jobs")).body).toHaveLength(1);
  });
});

describe("a job that is unknown", () => {
  it.each([
    ["GET", ""],
    ["GET", "/findings"],
    ["GET", "/parts/U1"],
    ["GET", "/suspects/U1"],
    ["GET", "/export"],
    ["POST", "/cancel"],
  ] as const)("is not found: %s %s", async (method, path) => {
    expect(await test.ask(method, `/jobs/${idFor("nobody")}${path}`)).toMatchObject({
      status: 404,
      body: { error: { code: "job-unknown" } },
    });
  });

  it.each([
    ["/entries", { id: idFor("e"), entry: { kind: "note", text: "n" } }],
    ["/understand", { text: "U1" }],
    ["/close", { id: idFor("e"), verdict: { words: "w" } }],
    ["/reopen", { id: idFor("e") }],
  ])("takes nothing: %s", async (path, body) => {
    expect(await test.ask("POST", `/jobs/${idFor("nobody")}${path}`, body)).toMatchObject({
      status: 404,
      body: { error: { code: "job-unknown" } },
    });
  });
});

describe("an entry", () => {
  it("is in the log when it is answered, and its findings follow", async () => {
    const { status, body } = await add({ kind: "gate", id: "supply", state: "passed" });
    expect(status).toBe(200);
    const answer = entryAnswerSchema.parse(body);
    expect(answer.line).toMatchObject({
      number: answer.revision,
      text: "Supply check passed",
      struck: false,
    });
    const findings = findingsSchema.parse((await test.ask("GET", `/jobs/${job}/findings`)).body);
    expect(findings.revision).toBe(answer.revision);
    expect(findings.steps).toHaveLength(findings.result.next.length);
    const [step] = findings.steps;
    expect(step?.answers.length).toBeGreaterThan(1);
    expect(step?.why).not.toBe("");
    const [summary] = jobSummarySchema.array().parse((await test.ask("GET", "/jobs")).body);
    expect(summary?.lead?.part).toBe(findings.result.suspects[0]?.part);
  });

  it("sent twice is added once, and refused with other content", async () => {
    const id = idFor("twice");
    const first = entryAnswerSchema.parse((await add(reading("U45.6", "pulsing"), id)).body);
    const again = entryAnswerSchema.parse((await add(reading("U45.6", "pulsing"), id)).body);
    expect(again.line).toEqual(first.line);
    expect(again.revision).toBe(first.revision);
    expect(await add(reading("U45.6", "low"), id)).toMatchObject({
      status: 409,
      body: { error: { code: "entry-conflict" } },
    });
  });

  it.each([
    ["an unknown part", reading("U99.1", "low"), { code: "unknown-place", suggestions: ["U19"] }],
    ["an unknown pin", reading("U33.19", "low"), { code: "unknown-place", hint: "Its pins are 1 to 18." }],
    ["an unknown line", reading("net:MRQ", "low"), { code: "unknown-place" }],
    ["a word the instrument cannot show", reading("U33.1", "purple"), { code: expect.any(String) }],
    ["an unknown kind", { kind: "reeding" }, { code: "field-invalid", where: "entry.kind" }],
    ["a missing field", { kind: "reading", at: "U1.1" }, { code: "field-missing", where: "entry.with" }],
    [
      "an unknown instrument",
      { ...reading("U1.1", "low"), with: "logic-prob" },
      { where: "entry.with", suggestions: ["logic-probe"] },
    ],
    ["an unknown symptom", { kind: "symptom", what: "no-beeep" }, { suggestions: ["no-beep"] }],
    [
      "an unknown event",
      { kind: "event", what: "droped" },
      { code: "unknown-event", suggestions: ["dropped"] },
    ],
    [
      "volts that cannot be",
      { kind: "reading", at: "rail:+5", with: "multimeter", volts: 400 },
      { code: "impossible-value", where: "entry.volts" },
    ],
    ["a strike of nothing", { kind: "strike", entry: 99 }, { code: "unknown-entry", where: "entry.entry" }],
    ["a strike of the opening", { kind: "strike", entry: 1 }, { code: "opening-entry" }],
    [
      "a part that nobody has",
      { kind: "job-closed", verdict: { part: "U0", words: "w" } },
      { code: "unknown-part" },
    ],
    [
      "an instrument nobody knows",
      { kind: "job-setup", instruments: ["probe"] },
      { code: "unknown-instrument" },
    ],
  ])("with %s is refused and leaves no trace", async (_, entry, error) => {
    const before = (await test.ask("GET", `/jobs/${job}`)).body;
    const asked = await add(entry);
    expect(asked).toMatchObject({ status: 422, body: { error } });
    expect((await test.ask("GET", `/jobs/${job}`)).body).toEqual(before);
  });

  it("on another board is a conflict", async () => {
    expect(await add({ kind: "job-setup", board: "pellow-16" })).toMatchObject({
      status: 409,
      body: { error: { code: "board-fixed" } },
    });
  });

  it("is struck out by a later one and brought back by striking that", async () => {
    const struck = async (number: number): Promise<boolean | undefined> => {
      const detail = jobDetailSchema.parse((await test.ask("GET", `/jobs/${job}`)).body);
      return detail.log.find((line) => line.number === number)?.struck;
    };
    const { number } = entryAnswerSchema.parse((await add(reading("U39.10", "low"))).body);
    const undo = entryAnswerSchema.parse((await add({ kind: "strike", entry: number })).body);
    expect(await struck(number)).toBe(true);
    expect(await add({ kind: "strike", entry: number })).toMatchObject({
      status: 409,
      body: { error: { code: "entry-struck" } },
    });
    await add({ kind: "strike", entry: undo.number });
    expect(await struck(number)).toBe(false);
  });

  it("that says a step cannot be done takes the step out of the plan", async () => {
    const before = findingsSchema.parse((await test.ask("GET", `/jobs/${job}/findings`)).body);
    const step = before.steps[0];
    await add({ kind: "cannot", step: step?.id, says: step?.title });
    const after = findingsSchema.parse((await test.ask("GET", `/jobs/${job}/findings`)).body);
    expect(after.steps.map(({ id }) => id)).not.toContain(step?.id);
    expect(after.previous.length).toBeGreaterThan(0);
  });
});

describe("a typed line", () => {
  const understand = async (text: string) =>
    understoodSchema.parse((await test.ask("POST", `/jobs/${job}/understand`, { text })).body);

  it.each([
    ["U33.11 pulsing", { outcome: "entry", says: "U33.11 with the logic probe: pulsing" }],
    ["+5V 4.62", { outcome: "entry", entry: { at: "rail:+5V", volts: 4.62 } }],
    [
      "U33 swapped no change",
      { outcome: "entry", entry: { kind: "swap", part: "U33", result: "unchanged" } },
    ],
    ["why U33", { outcome: "command", command: "why", part: "U33" }],
    ["strike 4", { outcome: "command", command: "strike", entry: 4 }],
    ["undo", { outcome: "command", command: "undo" }],
    ["U33.11 puls", { outcome: "problem", completions: ["U33.11 pulsing", "U33.11 pulses"] }],
    ["U33.11 pulsng", { outcome: "problem", suggestions: ["U33.11 pulsing"] }],
    ["save x.json", { outcome: "problem" }],
    ["", { outcome: "problem", completions: [] }],
  ])("%j is taken for what it is", async (text, expected) => {
    expect(await understand(text)).toMatchObject(expected);
  });

  it("is completed from a part to its pins, and changes nothing", async () => {
    const before = (await test.ask("GET", `/jobs/${job}`)).body;
    expect((await understand("U33")).completions.slice(0, 2)).toEqual(["U33.1", "U33.2"]);
    expect((await understand("u33.1")).completions).toContain("U33.11");
    expect((await test.ask("GET", `/jobs/${job}`)).body).toEqual(before);
  });

  it("that is too long is refused", async () => {
    const asked = await test.ask("POST", `/jobs/${job}/understand`, { text: "x".repeat(1001) });
    expect(asked).toMatchObject({ status: 422, body: { error: { where: "text" } } });
  });
});

describe("the page of a part", () => {
  it("shows what each pin should show and would show for the leading suspects", async () => {
    const page = partPageSchema.parse((await test.ask("GET", `/jobs/${job}/parts/u33`)).body);
    expect(page).toMatchObject({ ref: "U33", type: "2114", package: "DIP18" });
    expect(page.pins).toHaveLength(18);
    expect(page.suspects.length).toBeGreaterThan(1);
    for (const pin of page.pins) expect(pin.ifSuspect).toHaveLength(page.suspects.length);
    const supply = page.pins.find(({ kind }) => kind === "power");
    expect(supply?.healthy.shows).toBe("good");
    const part = partPageSchema.parse((await test.ask("GET", `/jobs/${job}/parts/U45`)).body);
    expect(part.pins.find(({ pin }) => pin === "6")?.readings.length).toBeGreaterThan(0);
  });

  it("of an unknown part names the nearest", async () => {
    expect(await test.ask("GET", `/jobs/${job}/parts/U333`)).toMatchObject({
      status: 404,
      body: { error: { code: "part-unknown", suggestions: ["U33"] } },
    });
  });
});

describe("the page that says why", () => {
  it("weighs the entries of the log and names what would clear a suspect", async () => {
    const findings = findingsSchema.parse((await test.ask("GET", `/jobs/${job}/findings`)).body);
    const [first] = findings.result.suspects;
    const page = whyPageSchema.parse((await test.ask("GET", `/jobs/${job}/suspects/${first?.part}`)).body);
    expect(page).toMatchObject({ ref: first?.part, cleared: false });
    expect(page.probability).toBeCloseTo(first?.probability ?? 0, 5);
    expect(page.evidence.map(({ text }) => text)).toContainEqual(expect.stringMatching(/^Symptom: /));
    expect(page.prior.map(({ id }) => id)).toEqual([
      "handbook",
      "trade",
      "age",
      "field",
      "events",
      "ownJobs",
    ]);
    for (const clear of page.clears) expect(clear.factor).toBeLessThanOrEqual(0.5);
  });

  it("says so if a part is as good as cleared", async () => {
    const findings = findingsSchema.parse((await test.ask("GET", `/jobs/${job}/findings`)).body);
    const suspected = new Set(findings.result.suspects.map(({ part }) => part));
    const board = boardDetailSchema.parse((await test.ask("GET", "/boards/merrow")).body);
    const mechanical = board.parts.find(({ ref, shape }) => shape === "point" && !suspected.has(ref));
    const page = whyPageSchema.parse(
      (await test.ask("GET", `/jobs/${job}/suspects/${mechanical?.ref}`)).body,
    );
    expect(page).toMatchObject({ cleared: true, suspect: null, probability: 0 });
  });
});

describe("the end of a job", () => {
  it("is its verdict; then it takes nothing but notes until it is opened again", async () => {
    const verdict = { part: "U33", words: "Screen memory replaced" };
    const closed = await test.ask("POST", `/jobs/${job}/close`, { id: idFor("close"), verdict });
    expect(closed.status).toBe(200);
    expect((await test.ask("GET", `/jobs/${job}`)).body).toMatchObject({ job: { state: "closed", verdict } });
    expect(await add(reading("U1.1", "low"))).toMatchObject({
      status: 409,
      body: { error: { code: "job-closed" } },
    });
    expect((await add({ kind: "note", text: "fetched" })).status).toBe(200);
    const reopened = await test.ask("POST", `/jobs/${job}/reopen`, { id: idFor("reopen"), why: "again" });
    expect(reopened.status).toBe(200);
    expect((await test.ask("GET", `/jobs/${job}`)).body).toMatchObject({
      job: { state: "open", verdict: null },
    });
  });

  it("without words is refused", async () => {
    expect(await test.ask("POST", `/jobs/${job}/close`, { id: idFor("c"), verdict: {} })).toMatchObject({
      status: 422,
      body: { error: { code: "field-missing", where: "verdict.words" } },
    });
  });

  it("can be exported as a log that the command line reads", async () => {
    const { body, headers } = await test.ask("GET", `/jobs/${job}/export`);
    const exported = caseSchema.parse(body);
    const detail = jobDetailSchema.parse((await test.ask("GET", `/jobs/${job}`)).body);
    expect(exported.entries).toHaveLength(detail.log.length);
    expect(exported).toMatchObject({
      board: "merrow",
      instruments: ["multimeter", "logic-probe"],
      year: 2026,
    });
    expect(headers["content-disposition"]).toBe('attachment; filename="merrow-from-the-attic.json"');
  });

  it("and nothing to be cancelled is no error", async () => {
    expect(await test.ask("POST", `/jobs/${job}/cancel`)).toMatchObject({
      status: 200,
      body: { done: true },
    });
  });
});
