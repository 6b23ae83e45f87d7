import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { boardDetailSchema, boardSummarySchema } from "../../src/app/api/boards.js";
import { findingsSchema } from "../../src/app/api/findings.js";
import { jobDetailSchema, understoodSchema } from "../../src/app/api/jobs.js";
import { boardDiffSchema, boardVersionSchema, madeBoardSchema } from "../../src/app/api/own-boards.js";
import { boardSchema } from "../../src/core/board/board.js";
import { idFor, openTestBench, type TestBench } from "../support/bench.js";

let test: TestBench;
beforeAll(() => {
  test = openTestBench();
});
afterAll(() => test.close());

/** A latch, a gate and a chip nobody knows, as a table of pins. */
const table = `ref,pin,net,type
U1,1,IN,74LS00
U1,2,SEL,74LS00
U1,3,OUT,74LS00
U1,7,GND,74LS00
U1,14,+5V,74LS00
U2,1,OUT,MYSTERY
U2,2,BACK,MYSTERY
U2,3,IN,MYSTERY
U2,8,GND,MYSTERY
U2,16,+5V,MYSTERY
U3,1,BACK,74LS04
U3,2,SEL,74LS04
U3,7,GND,74LS04
U3,14,+5V,74LS04
J1,1,+5V,CONN
J1,2,GND,CONN
`;

function bring(text: string, more: object = {}) {
  return test.ask("POST", "/boards", { files: [{ name: "attic.csv", text }], keep: true, ...more });
}

describe("bringing a board", () => {
  it("tells what would come of it without keeping it", async () => {
    const { status, body } = await bring(table, { keep: false });
    expect(status).toBe(200);
    const { kept, report } = madeBoardSchema.parse(body);
    expect(kept).toBeNull();
    expect(report).toMatchObject({ parts: 4, recognised: 2, rails: { GND: "GND", "+5V": "+5V" } });
    expect(report.unknown.map(({ ref }) => ref)).toContain("U2");
    const boards = boardSummarySchema.array().parse((await test.ask("GET", "/boards")).body);
    expect(boards.map(({ id }) => id)).toEqual(["merrow", "pellow-16"]);
  });

  it("keeps it beside the others, and jobs can be opened on it", async () => {
    const { kept } = madeBoardSchema.parse((await bring(table, { title: "Attic board" })).body);
    expect(kept).toEqual({ id: "attic", version: 1 });
    const boards = boardSummarySchema.array().parse((await test.ask("GET", "/boards")).body);
    expect(boards.at(-1)).toMatchObject({ id: "attic", title: "Attic board", own: true, versions: 1 });
    const job = idFor("attic job");
    const opened = await test.ask("POST", "/jobs", {
      id: job,
      board: "attic",
      title: "Attic",
      instruments: ["multimeter", "logic-probe"],
      entries: [{ id: idFor("gate"), entry: { kind: "gate", id: "supply", state: "passed" } }],
    });
    expect(opened.status).toBe(200);
    expect(jobDetailSchema.parse(opened.body).job).toMatchObject({
      boardVersion: 1,
      drawing: "/boards/attic?version=1",
    });
    const findings = findingsSchema.parse((await test.ask("GET", `/jobs/${job}/findings`)).body);
    expect(findings.result.suspects.map(({ part }) => part)).toEqual(
      expect.arrayContaining(["U1", "U2", "U3"]),
    );
    expect((await test.ask("DELETE", "/boards/attic")).body).toMatchObject({
      error: { code: "board-in-use" },
    });
  });

  it("adds a version only where something changed, and tells the difference", async () => {
    const again = madeBoardSchema.parse((await bring(table, { as: "attic", title: "Attic board" })).body);
    expect(again.kept).toEqual({ id: "attic", version: 1 });
    const changed = table.replace("U3,1,BACK", "U3,1,IN");
    const made = madeBoardSchema.parse((await bring(changed, { as: "attic", note: "U3.1 traced" })).body);
    expect(made.kept).toEqual({ id: "attic", version: 2 });
    const versions = boardVersionSchema.array().parse((await test.ask("GET", "/boards/attic/versions")).body);
    expect(versions.map(({ number, note }) => [number, note])).toEqual([
      [1, ""],
      [2, "U3.1 traced"],
    ]);
    const diff = boardDiffSchema.parse((await test.ask("GET", "/boards/attic/diff?before=1&after=2")).body);
    // The title stays, so that nothing but the pin differs.
    expect(diff.fields).toEqual([]);
    expect(diff.pins).toEqual([{ pin: "U3.1", before: "BACK", after: "IN" }]);
    expect(boardDetailSchema.parse((await test.ask("GET", "/boards/attic")).body).version).toBe(2);
    // A job stays on the version it was opened on until its log moves it.
    const job = idFor("attic job");
    expect(boardDetailSchema.parse((await test.ask("GET", `/jobs/${job}/board`)).body).version).toBe(1);
    const move = (boardVersion: number) =>
      test.ask("POST", `/jobs/${job}/entries`, {
        id: idFor(`move ${boardVersion}`),
        entry: { kind: "job-setup", boardVersion },
      });
    expect((await move(2)).status).toBe(200);
    expect(boardDetailSchema.parse((await test.ask("GET", `/jobs/${job}/board`)).body).version).toBe(2);
    expect(await move(9)).toMatchObject({ status: 422, body: { error: { code: "unknown-version" } } });
  });

  it("gives the board file back, which can be brought again", async () => {
    const file = await test.ask("GET", "/boards/attic/file");
    expect(boardSchema.parse(file.body).id).toBe("attic");
    expect(file.headers["content-disposition"]).toBe('attachment; filename="attic.json"');
    const types = await test.ask("GET", "/boards/attic/types");
    const made = await test.ask("POST", "/boards", {
      files: [
        { name: "attic.json", text: JSON.stringify(file.body) },
        { name: "attic.types.json", text: JSON.stringify(types.body) },
      ],
      keep: true,
    });
    expect(madeBoardSchema.parse(made.body).kept).toEqual({ id: "attic-2", version: 1 });
    expect((await test.ask("DELETE", "/boards/attic-2")).status).toBe(200);
    expect((await test.ask("GET", "/boards/attic-2")).status).toBe(404);
  });

  it("takes corrections of what was not recognised", async () => {
    const { report } = madeBoardSchema.parse(
      (await bring(table, { keep: false, corrections: { types: { U2: "74LS157" } } })).body,
    );
    expect(report.unknown.map(({ ref }) => ref)).not.toContain("U2");
    const wrong = await bring(table, { keep: false, corrections: { types: { U2: "74LS1570" } } });
    expect(wrong).toMatchObject({ status: 422, body: { error: { code: "unknown-type" } } });
  });

  it("lets a chip do what its equations or fuses say, in a new version", async () => {
    const pins = (ref: string): string =>
      `${ref},2,IN,MYSTERY\n${ref},3,SEL,MYSTERY\n${ref},19,OUT,MYSTERY\n${ref},10,GND,MYSTERY\n${ref},20,+5V,MYSTERY\n`;
    const { kept } = madeBoardSchema.parse(
      (
        await bring(`ref,pin,net,type\n${pins("U9")}U1,1,OUT,74LS04\nU1,7,GND,74LS04\nU1,14,+5V,74LS04\n`, {
          title: "P",
        })
      ).body,
    );
    const id = kept?.id ?? "";
    const program = (more: object) =>
      test.ask("POST", `/boards/${id}/program`, {
        part: "U9",
        device: "PAL16L8",
        kind: "equations",
        ...more,
      });
    expect(await program({ text: "19 = 2 & !3" })).toMatchObject({ status: 200, body: { id, version: 2 } });
    const types = await test.ask("GET", `/boards/${id}/types`);
    expect(JSON.stringify(types.body)).toContain('"O19":["and","I2",["not","I3"]]');
    expect(await program({ text: "19 = 2 &" })).toMatchObject({
      status: 422,
      body: { error: { code: "equation-syntax" } },
    });
    expect(await program({ kind: "fuses", text: "*QF8*F0*" })).toMatchObject({
      status: 422,
      body: { error: { code: "fuse-count", message: "The file has 8 fuses, and a PAL16L8 has 2048." } },
    });
    expect(await program({ part: "U99", text: "19 = 2" })).toMatchObject({
      body: { error: { code: "unknown-part" } },
    });
    expect(
      await test.ask("POST", "/boards/merrow/program", {
        part: "U9",
        device: "PAL16L8",
        kind: "equations",
        text: "19 = 2",
      }),
    ).toMatchObject({ status: 404 });
    await test.ask("DELETE", `/boards/${id}`);
  });

  it("refuses in one sentence what is no board, and changes nothing", async () => {
    const ask = (name: string, text: string, more: object = {}) =>
      test.ask("POST", "/boards", { files: [{ name, text }], keep: true, ...more });
    const refused: readonly (readonly [string, string, string])[] = [
      ["holiday.jpg", "x", "file-unfit"],
      ["a.json", "{", "json-syntax"],
      ["a.types.json", "{}", "file-unfit"],
      ["a.csv", "ref,pin,net\nU1,1,A\n", "no-ground"],
      ["a.kicad_pcb", "(kicad_pcb (version 20211014", ""],
    ];
    for (const [name, text, code] of refused) {
      const { status, body } = await ask(name, text);
      expect(status, name).toBe(422);
      if (code !== "") expect(body, name).toMatchObject({ error: { code } });
      expect(JSON.stringify(body)).not.toMatch(/\bat .*\(/);
    }
    expect((await ask("a.csv", table, { as: "nowhere" })).status).toBe(404);
    expect((await ask("a.csv", table, { as: "merrow" })).status).toBe(404);
    const { body } = await test.ask("GET", "/boards");
    expect(boardSummarySchema.array().parse(body)).toHaveLength(3);
  });

  it("bounds what is sent", async () => {
    const { status, body } = await bring("x".repeat(25_000_000));
    expect(status).toBe(413);
    expect(body).toMatchObject({ error: { message: "The request is larger than 24 MB." } });
  });
});

describe("part types of one's own", () => {
  const type = {
    type: "MYSTERY-2",
    title: "custom chip",
    package: "DIP14",
    technology: "nmos",
    family: "peripheral",
    pins: [
      { number: "1", name: "A", kind: "in" },
      { number: "2", name: "Y", kind: "out" },
      { number: "7", name: "GND", kind: "ground" },
      { number: "14", name: "VCC", kind: "power" },
    ],
    rails: [{ pin: "VCC", nominalVolt: 5, minimumVolt: 4.75, maximumVolt: 5.25 }],
    behaviour: { kind: "cautious" },
    sources: [{ id: "common-practice", confidence: "memory" }],
  };

  it("are added, listed, given away and taken away", async () => {
    expect((await test.ask("POST", "/types", { type })).status).toBe(200);
    expect((await test.ask("GET", "/types/MYSTERY-2")).body).toMatchObject({ own: true });
    expect(JSON.stringify((await test.ask("GET", "/own-types")).body)).toContain("MYSTERY-2");
    expect((await test.ask("DELETE", "/types/MYSTERY-2")).status).toBe(200);
    expect((await test.ask("GET", "/types/MYSTERY-2")).status).toBe(404);
    expect((await test.ask("DELETE", "/types/74LS00")).status).toBe(404);
  });

  it("that contradict themselves, or do not fit a board that uses them, are refused", async () => {
    const twice = { ...type, pins: [...type.pins, { number: "1", name: "B", kind: "in" }] };
    expect(await test.ask("POST", "/types", { type: twice })).toMatchObject({
      status: 422,
      body: { error: { code: "duplicate-pin" } },
    });
    expect(await test.ask("POST", "/types", { type: { ...type, type: "74LS00" } })).toMatchObject({
      status: 422,
      body: { error: { code: "type-unfit" } },
    });
  });
});

describe("pictures of a job's board", () => {
  const job = idFor("attic job");
  const bytes = [
    ...[0xff, 0xd8, 0xff, 0xe1, 0, 10, ...Buffer.from("Exif GPS")],
    ...[
      0xff, 0xc0, 0, 11, 8, 0, 30, 0, 40, 1, 1, 0x11, 0, 0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0, 7, 0xff, 0xd9,
    ],
  ];

  it("are kept without where they were taken, marked, and taken away", async () => {
    const data = Buffer.from(bytes).toString("base64");
    const put = await test.ask("POST", `/jobs/${job}/photos`, { side: "component", data });
    expect(put.body).toMatchObject({ side: "component", widthPixel: 40, heightPixel: 30, marks: [] });
    const got = await test.app.inject({
      url: `/api/v1/jobs/${job}/photos/component`,
      headers: { host: "localhost:4780" },
    });
    expect(got.headers["content-type"]).toBe("image/jpeg");
    expect(got.rawPayload.includes("GPS")).toBe(false);
    const marks = { marks: [{ pin: "U1.1", x: 4, y: 5 }] };
    expect((await test.ask("POST", `/jobs/${job}/photos/component/marks`, marks)).body).toMatchObject(marks);
    expect(
      await test.ask("POST", `/jobs/${job}/photos/component/marks`, {
        marks: [{ pin: "U1.99", x: 4, y: 5 }],
      }),
    ).toMatchObject({ status: 422, body: { error: { code: "unknown-pin", where: "marks[0].pin" } } });
    expect((await test.ask("DELETE", `/jobs/${job}/photos/component`)).status).toBe(200);
    expect(await test.ask("DELETE", `/jobs/${job}/photos/component`)).toMatchObject({
      status: 404,
      body: { error: { code: "photo-unknown" } },
    });
  });

  it("that are none are refused", async () => {
    const data = Buffer.from("GIF89a").toString("base64");
    expect(await test.ask("POST", `/jobs/${job}/photos`, { side: "solder", data })).toMatchObject({
      status: 422,
      body: { error: { code: "photo-format" } },
    });
    expect((await test.ask("POST", `/jobs/${job}/photos`, { side: "solder", data: "%" })).status).toBe(422);
    expect((await test.ask("GET", "/jobs/none/photos")).status).toBe(404);
  });
});

describe("growing a board at the bench", () => {
  const job = idFor("attic job");
  const connect = (name: string, from: string, to: string, shows: string) =>
    test.ask("POST", `/jobs/${job}/entries`, {
      id: idFor(name),
      entry: { kind: "connection", from, to, shows },
    });

  it("adds what rings to the nets of the job's board, and reasons on it", async () => {
    expect((await connect("c1", "U1.4", "U3.4", "rings")).status).toBe(200);
    const detail = jobDetailSchema.parse((await test.ask("GET", `/jobs/${job}`)).body);
    expect(detail.job.drawing).toContain(`/jobs/${job}/board?facts=`);
    expect(detail.log.at(-1)?.text).toBe("Wiring: U1.4 to U3.4 rings");
    const board = boardDetailSchema.parse((await test.ask("GET", detail.job.drawing)).body);
    expect(board.nets.find(({ name }) => name === "wire-U1.4")?.pins).toEqual(["U1.4", "U3.4"]);
    expect(board.growth?.changes.map(({ kind }) => kind)).toEqual(["added"]);
    const findings = findingsSchema.parse((await test.ask("GET", `/jobs/${job}/findings`)).body);
    expect(findings.revision).toBe(detail.revision);
    const reading = await test.ask("POST", `/jobs/${job}/understand`, { text: "wire-U1.4 low" });
    expect(understoodSchema.parse(reading.body)).toMatchObject({ outcome: "entry" });
  }, 60_000);

  it("keeps what was read under the name of a line that became part of another", async () => {
    const read = { kind: "reading", at: "net:BACK", with: "logic-probe", shows: "low" };
    await test.ask("POST", `/jobs/${job}/entries`, { id: idFor("back"), entry: read });
    await connect("c2", "U2.2", "U1.1", "rings");
    const findings = findingsSchema.parse((await test.ask("GET", `/jobs/${job}/findings`)).body);
    expect(findings.result.problems).toEqual([]);
    const file = boardSchema.parse((await test.ask("GET", `/jobs/${job}/board-file`)).body);
    expect(file.parts.find(({ ref }) => ref === "U2")?.pins["2"]).toBe("IN");
  }, 60_000);

  it("lists contradictions with both facts, and a strike undoes a fact", async () => {
    await connect("c3", "U1.4", "U3.4", "open");
    const seen = async () => boardDetailSchema.parse((await test.ask("GET", `/jobs/${job}/board`)).body);
    const [contradiction] = (await seen()).growth?.contradictions ?? [];
    const { log } = jobDetailSchema.parse((await test.ask("GET", `/jobs/${job}`)).body);
    const numbers = log.filter(({ entry }) => entry.kind === "connection").map(({ number }) => number);
    expect(contradiction).toMatchObject({ entry: numbers[2], against: [numbers[0]] });
    await test.ask("POST", `/jobs/${job}/entries`, {
      id: idFor("strike c1"),
      entry: { kind: "strike", entry: numbers[0] },
    });
    const after = await seen();
    expect(after.growth?.contradictions).toEqual([]);
    expect(after.nets.some(({ name }) => name === "wire-U1.4")).toBe(false);
  });

  it("refuses pins that the board does not have", async () => {
    expect(await connect("bad", "U1.99", "U3.4", "rings")).toMatchObject({
      status: 422,
      body: { error: { code: "unknown-pin", where: "entry.from" } },
    });
    expect(await connect("same", "U1.4", "U1.4", "rings")).toMatchObject({
      status: 422,
      body: { error: { code: "same-pin" } },
    });
  });
});
