import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { type CliRun, runCli, wideLines } from "../../../test/support/cli.js";
import { tinyBoard } from "../../../test/support/tiny-board.js";
import { caseSchema } from "../../core/find/case/case.js";

const folder = mkdtempSync(join(tmpdir(), "boardwake-session-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** A board that is quickly worked out, with a lamp to report on. */
const board = join(folder, "lamp.json");
writeFileSync(
  board,
  JSON.stringify(
    tinyBoard(
      "U1:74LS04 1=IN 2=MID 3=MID 4=OUT 7=GND 14=+5V; R1:resistor 1=OUT 2=LAMP; D1:led 1=+5V 2=LAMP; C1:capacitor-ceramic 1=+5V 2=GND; J1:connector 1=IN 2=GND 3=+5V",
      { id: "lamp", title: "Lamp", chain: { memoryFigure: false, lamp: ["+5V"] } },
    ),
  ),
);

const find = (...lines: string[]): Promise<CliRun> => runCli(["find", "--board", board], { lines });

/** What was printed after a line was typed, up to the next prompt. */
function reply(run: CliRun, line: string): string {
  const [, rest = ""] = run.out.split(`> ${line}\n`);
  return rest.split(/^> /m)[0] ?? "";
}

describe("a session in the terminal", () => {
  it("asks for symptoms and instruments, then leads through gate and steps", async () => {
    const run = await find("1", "1 2", "a", "a", "quit", "");
    expect(run.code).toBe(0);
    expect(run.err).toBe("");
    expect(run.out).toMatch(/What does the machine do\?\n.*Power lamp\n {2}1 {2}The power lamp lights\./s);
    expect(run.out).toMatch(/What have you got at hand\?\n {2}1 {2}multimeter/);
    expect(run.out).toMatch(/First make it safe[\s\S]*! Unplug from the mains[\s\S]* a {2}all is well/);
    expect(reply(run, "a")).toMatch(/Logged: Supply check passed[\s\S]*Suspects[\s\S]*Next step/);
    expect(wideLines(run.out)).toEqual([]);
  });

  it("shows a step as a card: what, where, with what, how long, why, what each answer would mean", async () => {
    const run = await runCli(["find", "--board", "pellow-16", "--instruments", "logic-probe"], {
      lines: ["12", "gate passed", "1", "2", "3", "4", "5", "quit", ""],
    });
    const cards = ["1", "2", "3", "4", "5"].map((number) => reply(run, number));
    const card = cards.find((text) => /Next step: [\d.]+ min, logic probe/.test(text)) ?? cards.join();
    expect(card).toMatch(/Touch \w+ pin \d+/);
    expect(card).toMatch(/where {2}\w+ \(\w+, \w+\): \d+ mm from the left, \d+ mm from the top edge/);
    expect(card).toMatch(/why {4}tells [\d.]+ bits[\s\S]*to a working machine from\s+here/);
    expect(card).toMatch(/^ {3}a {2}\w+ +[\d.]+ % {2}then \w+ \d+ %/m);
    expect(wideLines(run.out)).toEqual([]);
  });

  it("takes readings of one's own, and says what it understood", async () => {
    const run = await find(
      "",
      "",
      "gate passed",
      "U1.2 low",
      "+5V 4.9",
      "U1 swapped no change",
      "log",
      "quit",
      "",
    );
    expect(reply(run, "U1.2 low")).toContain("Logged: U1.2 with the logic probe: low");
    expect(reply(run, "+5V 4.9")).toContain("Logged: +5V with the multimeter: 4.9 V");
    expect(reply(run, "U1 swapped no change")).toContain("Logged: U1 swapped: no change");
    expect(reply(run, "log").trim().split("\n")).toHaveLength(4);
  });

  it("refuses what it cannot place, and goes on as before", async () => {
    const run = await find("", "", "U9.3 low", "U1.2 lwo", "U1.99 low", "U1.2 12", "+5V 48", "log", "quit");
    expect(reply(run, "U9.3 low")).toMatch(/^There is no part, pin or net called 'U9'.*Did you mean U1\?/);
    expect(reply(run, "U1.2 lwo")).toMatch(/^'lwo' is nothing that a reading shows/);
    expect(reply(run, "U1.99 low")).toMatch(/no pin '99'/);
    expect(reply(run, "U1.2 12")).toMatch(/^12 V cannot stand on the logic line U1\.2/);
    expect(reply(run, "+5V 48")).toMatch(/^48 V cannot stand at rail:\+5V: the highest feed of Lamp is 5 V/);
    expect(reply(run, "log").trim()).toBe("");
    expect(run.out).not.toContain("Not saved");
  });

  it("explains, takes back, strikes out, lists", async () => {
    const run = await find(
      ...["", "", "gate passed", "U1.2 low", "why U1", "why U77", "undo", "strike 1", "strike 1", "undo"],
      ...["suspects", "groups", "symptoms", "help", "next", "2", "77", "nonsense", "quit", ""],
    );
    expect(reply(run, "why U1")).toMatch(/^U1, 74LS04: .*at fault\.[\s\S]*entry 2: U1\.2 low/);
    expect(reply(run, "why U77")).toContain("There is no part called 'U77'");
    expect(reply(run, "undo")).toContain("Taken back: U1.2 with the logic probe: low");
    expect(run.out).toContain("Struck out: Supply check passed");
    expect(run.out).toContain("Entry 1 is struck out already.");
    expect(run.out).toContain("There is nothing to take back.");
    expect(reply(run, "symptoms")).toContain("lamp-on: The power lamp lights.");
    expect(reply(run, "help")).toContain("U12.6 pulsing");
    expect(reply(run, "77")).toMatch(/There are \d+ steps to choose from\./);
    expect(reply(run, "nonsense")).toMatch(/'help' shows what can be\s+typed/);
    expect(wideLines(run.out)).toEqual([]);
  });

  it("saves the log, then keeps it saved, and goes on from it", async () => {
    const file = join(folder, "kept.json");
    await find("1", "1", "gate passed", `save ${file}`, "U1.2 low", "quit");
    const kept = caseSchema.parse(JSON.parse(readFileSync(file, "utf8")));
    expect(kept).toMatchObject({ board: "lamp", instruments: ["multimeter"] });
    expect(kept.entries.map(({ kind }) => kind)).toEqual(["symptom", "gate", "reading"]);
    const words = ["find", "--board", board, "--log", file, "--live"];
    const run = await runCli(words, { lines: ["log", "U1.4 high", "quit"] });
    expect(reply(run, "log").trim().split("\n")).toHaveLength(3);
    const later = caseSchema.parse(JSON.parse(readFileSync(file, "utf8")));
    expect(later.entries).toHaveLength(4);
  });

  it("overwrites no file unasked, and says when it cannot write", async () => {
    const file = join(folder, "there.json");
    writeFileSync(file, "mine");
    const run = await find(
      "",
      "",
      "gate passed",
      `save ${file}`,
      `save ${folder}/no/x.json`,
      `overwrite ${file}`,
      "quit",
    );
    expect(run.out.replace(/\s+/g, " ")).toContain(`Type 'overwrite ${file}' to replace it.`);
    expect(run.out.replace(/\s+/g, " ")).toMatch(/Cannot write .*x\.json: there is no such file or folder/);
    expect(readFileSync(file, "utf8")).toContain('"gate"');
  });

  it("asks before a log is lost, and says so when nobody can be asked", async () => {
    const file = join(folder, "last-minute.json");
    const asked = await find("", "", "gate passed", "quit", file);
    expect(asked.out).toContain("Not saved. File name, or Enter to drop the log:");
    expect(existsSync(file)).toBe(true);
    const ended = await find("", "", "gate passed");
    expect(ended).toMatchObject({ code: 0, err: "The input ended; the log was not saved.\n" });
    expect(await find()).toMatchObject({ code: 0, err: "" });
    expect((await find("", "")).err).toBe("");
  });

  it("asks again for numbers that are not on the list", async () => {
    const run = await find("77", "one", "1, 1", "", "quit", "");
    expect(run.out).toContain("'77' is not on the list; numbers go from 1 to 4.");
    expect(run.out).toContain("'one' is not on the list");
    expect(run.out).toContain("The power lamp lights");
  });

  it("offers something else than the gate when the supply has failed its check", async () => {
    const run = await find("", "", "b", "quit", "");
    const shown = reply(run, "b");
    expect(shown).toContain("Logged: Supply check failed");
    expect(shown).not.toMatch(/First make it safe: \d+ min\n/);
    expect(shown).toMatch(/Next step: .*power off/);
  });
});

describe("the guided session", () => {
  it("goes from symptom and gate to a named part without stopping, and is the same each time", async () => {
    const run = await runCli(["demo", "--no-pause"]);
    expect([run.code, run.err]).toEqual([0, ""]);
    const order = [
      "Symptom: One even field inside an intact border",
      "First make it safe",
      "! Unplug from the mains",
      "Next step",
      "+12 with the multimeter: good",
      "U12.6 with the logic probe: low",
      "Why U12?",
      "speaks strongly for it",
      "What the plan would do now",
    ];
    const places = order.map((text) => run.out.indexOf(text));
    expect(places).not.toContain(-1);
    expect(places).toEqual([...places].sort((a, b) => a - b));
    const last = run.out.slice(run.out.lastIndexOf("Suspects"));
    expect(last).toMatch(/^ 1 U12 +74LS00 +memory +[5-9]\d %.* \+\d+$/m);
    expect(wideLines(run.out)).toEqual([]);
    expect(await runCli(["demo"])).toEqual(run);
  });

  it("waits for Enter in a terminal and hands the session over", async () => {
    const lines = [...Array.from({ length: 10 }, () => ""), "why U12", "quit", ""];
    const run = await runCli(["demo"], { isInteractive: true, lines });
    expect([run.code, run.err]).toEqual([0, "Making the board ready …\n"]);
    expect(run.out.match(/Enter to go on/g)?.length).toBeGreaterThan(5);
    expect(run.out).toContain("The session is yours now.");
  });

  it("can be left at any pause", async () => {
    const run = await runCli(["demo"], { isInteractive: true, lines: [""] });
    expect(run.code).toBe(0);
    expect(run.out).not.toContain("Why U12?");
  });
});

describe("practice", () => {
  const practise = (lines: string[], seed = "3"): Promise<CliRun> =>
    runCli(["practice", "--board", board, "--seed", seed], { lines });

  it("hides the same fault for the same seed, and shows it in the end", async () => {
    const first = await practise(["give up"]);
    expect(first.code).toBe(0);
    expect(first.out).toMatch(/Hidden was \w+ \(/);
    expect(await practise(["give up"])).toEqual(first);
    const others = await Promise.all(["4", "5", "6", "7"].map((seed) => practise(["quit"], seed)));
    expect(
      others.filter(({ out }) => out.split("Hidden was")[1] !== first.out.split("Hidden was")[1]),
    ).not.toEqual([]);
  });

  it("answers readings, keeps the minutes, and ends when the part is replaced", async () => {
    const hidden = /Hidden was (\w+)/.exec((await practise([])).out)?.[1] ?? "";
    const run = await practise([
      ...[
        "help",
        "plan",
        "suspects",
        "why U1",
        "U1.2",
        "+5V",
        "+5V short",
        "U1.2-U1.3",
        "U1 eye",
        "lamp",
        "supply",
      ],
      ...["U1.2 scope", "U9", "U1", "fiddle", "go", ...Array.from({ length: 8 }, () => `replace ${hidden}`)],
    ]);
    expect(reply(run, "U1.2")).toMatch(/^U1\.2 with the logic probe: \w+ \(1 min, 1 min so far\)/);
    expect(reply(run, "+5V short")).toMatch(/with the multimeter: \w+ \(power off\)/);
    expect(reply(run, "lamp")).toMatch(/Symptom: The power lamp/);
    expect(reply(run, "U1.2 scope")).toContain("There is no oscilloscope at hand.");
    expect(reply(run, "U1")).toContain("What to do with U1 is missing.");
    expect(reply(run, "U9")).toContain("Did you mean U1?");
    expect(run.out).toMatch(/It works, after [\d.]+ min\.\nHidden was/);
    expect(wideLines(run.out)).toEqual([]);
  });

  it("is played by the plan itself, the same each time", async () => {
    const words = ["practice", "--board", board, "--seed", "3", "--auto"];
    const page = await runCli(words);
    expect(page.code).toBe(0);
    expect(wideLines(page.out)).toEqual([]);
    const json = await runCli([...words, "--json"]);
    expect(await runCli([...words, "--json"])).toEqual(json);
    const game: unknown = JSON.parse(json.out);
    const part = /Hidden was (\w+)/.exec((await practise(["give up"])).out)?.[1];
    expect(game).toHaveProperty("truth.part", part);
    expect(game).toMatchObject({ seed: 3, answeredBy: "model", truth: { part: expect.any(String) } });
    expect(page.out).toContain("readings are answered from the model");
  });
});
