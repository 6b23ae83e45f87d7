import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type CliInput, type CliRun, runCli, wideLines } from "../../test/support/cli.js";
import { BoardwakeError } from "../core/base/errors.js";
import { caseSchema } from "../core/find/case/case.js";
import { type JobStore, openJobStore } from "../store/jobs/job-store.js";
import type { ServeWish } from "./bench-door.js";
import { openerOf } from "./show-address.js";

let jobs: JobStore;
beforeEach(() => {
  jobs = openJobStore(":memory:");
});
afterEach(() => jobs.close());

function cli(words: readonly string[], input: CliInput = {}): Promise<CliRun> {
  return runCli(words, { jobs, ...input });
}

async function open(title = "Merrow from the attic", board = "merrow"): Promise<string> {
  const { code, out } = await cli(["job", "open", "--board", board, "--title", title]);
  expect(code).toBe(0);
  return out.trim();
}

function add(job: string, ...words: string[]): Promise<CliRun> {
  return cli(["job", "add", job, ...words]);
}

describe("job open, list and show", () => {
  it("open a job and show it by its id, the start of it, or its title", async () => {
    expect((await cli(["job", "list"])).out).toBe("There are no jobs yet.\n");
    const id = await open();
    expect(id).toMatch(/^[0-9a-f-]{36}$/);
    const list = await cli(["job", "list"]);
    expect(list.out).toContain(`${id.slice(0, 8)}  open    Merrow        Merrow from the attic\n`);
    expect(wideLines(list.out)).toEqual([]);
    for (const name of [id, id.slice(0, 4), "Merrow from the attic", "merrow fr"]) {
      const shown = await cli(["job", "show", name]);
      expect([shown.code, shown.err]).toEqual([0, ""]);
      expect(shown.out).toContain("    1  Job opened: 'Merrow from the attic'; board merrow;");
      expect(wideLines(shown.out)).toEqual([]);
    }
  });

  it("open a job on a file of a board, which is kept in versions", async () => {
    const folder = mkdtempSync(join(tmpdir(), "boardwake-own-"));
    const file = join(folder, "attic.csv");
    const pins = "ref,pin,net,type\nU1,1,A,74LS00\nU1,3,B,74LS00\nU1,7,GND,74LS00\nU1,14,+5V,74LS00\n";
    try {
      writeFileSync(file, pins);
      const id = await open("Attic", file);
      expect(await open("Attic again", file)).not.toBe(id);
      expect(jobs.shelf.versions("attic")).toHaveLength(1);
      writeFileSync(file, pins.replace("U1,3,B", "U1,3,A"));
      const later = await open("Attic later", file);
      expect((await cli(["job", "show", later])).out.replace(/\s+/g, " ")).toContain(
        "version 2 of the board",
      );
      expect((await add(later, "U1.1", "to", "U1.3", "rings")).out).toContain("Wiring: U1.1 to U1.3 rings");
      expect((await cli(["job", "open", "--board", "attic", "--title", "By id"])).code).toBe(0);
      writeFileSync(file, "nonsense");
      const refused = await cli(["job", "open", "--board", file, "--title", "None"]);
      expect([refused.code, refused.out]).toEqual([3, ""]);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });

  it("print JSON", async () => {
    const id = await open();
    const list = JSON.parse((await cli(["job", "list", "--json"])).out);
    expect(list).toMatchObject({ jobs: [{ id, state: "open", board: "merrow" }], problems: [] });
    const shown = JSON.parse((await cli(["job", "show", id, "--json"])).out);
    expect(shown).toMatchObject({
      job: { id },
      revision: 1,
      log: [{ number: 1, struck: false }],
      problems: [],
    });
  });

  it("name the nearest job for one that is unknown", async () => {
    await open();
    expect(await cli(["job", "show", "Merow from the attic", "--json"])).toMatchObject({
      code: 3,
      err: "There is no job 'Merow from the attic'. Did you mean 'Merrow from the attic'?\n",
      out: expect.stringContaining('"code": "job-unknown"'),
    });
    expect((await cli(["job", "show", "zebra"])).err).toContain("'boardwake job list' shows them");
  });

  it.each([
    [["--board", "merow", "--title", "T"], 3, "Did you mean 'merrow'?"],
    [["--board", "../merrow", "--title", "T"], 3, "There is no board called"],
    [["--board", "merrow", "--title", " "], 2, "The title must have"],
    [
      ["--board", "merrow", "--title", "T", "--instruments", "prob"],
      2,
      "There is no instrument called 'prob'.",
    ],
    [["--board", "merrow"], 2, "--title"],
  ])("refuse %j", async (words, code, text) => {
    const run = await cli(["job", "open", ...words]);
    expect(run.code).toBe(code);
    expect(run.err).toContain(text);
    expect(jobs.jobs()).toEqual([]);
  });
});

describe("job add", () => {
  it("adds what is typed at the bench, and reads it back", async () => {
    const id = await open();
    expect((await add(id, "U33.11", "pulsing")).out).toBe("2  U33.11 with the logic probe: pulsing.\n");
    expect((await add(id, "--", "-12V", "absent")).out).toBe("3  -12V with the multimeter: absent.\n");
    expect(JSON.parse((await add(id, "--json", "U9", "hot")).out)).toMatchObject({
      number: 4,
      entry: { kind: "reading", at: "U9", shows: "hot" },
      problems: [],
    });
    expect(jobs.log(id)).toHaveLength(4);
  });

  it("takes entries back, the last one that stands or one by its number", async () => {
    const id = await open();
    await add(id, "U33.11", "pulsing");
    await add(id, "U33.12", "low");
    expect((await add(id, "undo")).out).toBe("4  Entry 3 struck out.\n");
    expect((await add(id, "undo")).out).toBe("5  Entry 2 struck out.\n");
    expect(await add(id, "undo")).toMatchObject({ code: 2, err: "No entry is left to be taken back.\n" });
    expect((await add(id, "strike", "4")).out).toBe("6  Entry 4 struck out.\n");
    expect((await cli(["job", "show", id])).out).toContain(
      "U33.11 with the logic probe: pulsing (struck out)",
    );
  });

  it.each([
    [["U333.1", "low"], 3, "There is no part, pin or net called 'U333' on Merrow. Did you mean U33?"],
    [["U33.11", "pulsng"], 3, "Did you mean 'pulsing'?"],
    [["why", "U3"], 2, "'why' is no entry"],
    [["strike", "9"], 3, "There is no entry 9"],
  ])("refuses %j and adds nothing", async (words, code, text) => {
    const id = await open();
    const run = await add(id, ...words);
    expect([run.code, run.out]).toEqual([code, ""]);
    expect(run.err).toContain(text);
    expect(jobs.log(id)).toHaveLength(1);
  });
});

describe("job close", () => {
  it("keeps the verdict, and then nothing is added", async () => {
    const id = await open();
    const words = ["job", "close", id, "--part", "U33", "--words", "replaced, works"];
    const run = await cli(words);
    expect(run).toMatchObject({ code: 0, out: "2  Job closed, U33 was at fault: replaced, works.\n" });
    expect((await cli(["job", "list"])).out).toContain("U33: replaced, works");
    expect(await add(id, "U1.1", "low")).toMatchObject({
      code: 3,
      err: "The job is closed, so nothing was added. Open it again first.\n",
    });
  });

  it("refuses a part that is not there and a verdict without words", async () => {
    const id = await open();
    const bad = await cli(["job", "close", id, "--part", "U0", "--words", "w"]);
    expect(bad).toMatchObject({ code: 3, err: expect.stringContaining("There is no part 'U0' on Merrow.") });
    expect((await cli(["job", "close", id, "--words", " "])).code).toBe(2);
    expect(jobs.log(id)).toHaveLength(1);
  });
});

describe("job export", () => {
  let folder = "";
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), "boardwake-export-"));
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));

  it("writes a log that find reads, and never over a file", async () => {
    const id = await open();
    await add(id, "U33.11", "pulsing");
    const file = join(folder, "case.json");
    expect((await cli(["job", "export", id, "--out", file])).code).toBe(0);
    const text = readFileSync(file, "utf8");
    expect(caseSchema.parse(JSON.parse(text)).entries).toHaveLength(2);
    expect((await cli(["job", "export", id])).out).toBe(text);
    expect(await cli(["job", "export", id, "--out", file])).toMatchObject({
      code: 3,
      err: expect.stringContaining("it is there already"),
    });
    const found = await cli(["find", "--board", "merrow", "--log", file, "--json"]);
    expect([found.code, found.err]).toEqual([0, ""]);
  });
});

describe("serve", () => {
  it("says where the page and the jobs are, and ends when it is stopped", async () => {
    const wishes: ServeWish[] = [];
    const run = await cli(["serve", "--data", "bench"], { onServe: (wish) => wishes.push(wish) });
    expect(run).toMatchObject({ code: 0, err: "Stopping …\n" });
    expect(run.out).toBe(
      "The bench page is at http://localhost:4780\nJobs are kept in bench/jobs.db\nCtrl-C stops it.\n",
    );
    expect(wishes).toMatchObject([{ port: 4780, isShared: false, folder: "bench", version: "0.0.0" }]);
  });

  it("shows the code and the addresses of a shared bench, and each new code", async () => {
    const run = await cli(["serve", "--share", "--port", "8080"], {
      onServe: ({ onNewCode }) => onNewCode("WXYZ-6789", "Tablet"),
    });
    expect(run.out).toContain(
      "For other devices:  http://192.0.2.7:8080\nCode for the next device: ABCD-2345\n",
    );
    expect(run.out).toContain("Paired: Tablet.\nCode for the next device: WXYZ-6789\n");
  });

  it("opens the page when it is told to, or when Enter is pressed", async () => {
    expect((await cli(["serve", "--open"])).out).toContain("shown: http://localhost:4780\n");
    const offered = await cli(["serve"], { isInteractive: true, lines: [""] });
    expect(offered.out).toContain("Press Enter to open it in the browser.");
    expect(offered.out).toContain("shown: http://localhost:4780\n");
    const not = await cli(["serve", "--no-open"], { isInteractive: true, lines: [""] });
    expect(not.out).not.toContain("shown");
  });

  it.each(["x", "-1", "65536", "1.5", ""])("refuses the port %j", async (port) => {
    const run = await cli(["serve", `--port=${port}`]);
    expect(run).toMatchObject({ code: 2, out: "" });
    expect(run.err).toContain("The port must be a whole number");
  });

  it("ends with the sentence and the code of what went wrong", async () => {
    const run = await cli(["serve"], {
      onServe: () => {
        throw new BoardwakeError("port-refused", {
          host: "127.0.0.1",
          port: "4780",
          reason: "another program uses it",
        });
      },
    });
    expect(run).toEqual({
      code: 3,
      out: "",
      err: "Cannot listen on 127.0.0.1 port 4780: another program uses it.\n",
    });
  });
});

describe("the program that opens addresses", () => {
  it("is the platform's own", () => {
    expect([openerOf("darwin"), openerOf("linux")[0], openerOf("aix")]).toEqual([["open"], "xdg-open", []]);
  });
});
