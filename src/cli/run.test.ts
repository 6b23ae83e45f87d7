import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { runCli, wideLines } from "../../test/support/cli.js";
import { tinyBoard } from "../../test/support/tiny-board.js";
import {
  checkOutputSchema,
  diffOutputSchema,
  importOutputSchema,
  showOutputSchema,
} from "../app/output/board-output.js";
import { findOutputSchema } from "../app/output/find-output.js";
import { symptomsOutputSchema } from "../app/output/other-output.js";
import { errorOutputSchema } from "../app/output/shapes.js";

const folder = mkdtempSync(join(tmpdir(), "boardwake-cli-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function file(name: string, content: unknown): string {
  const path = join(folder, name);
  writeFileSync(path, typeof content === "string" ? content : JSON.stringify(content));
  return path;
}

const sound = tinyBoard("U1:74LS00 1=A 2=B 3=Y 7=GND 14=+5V; J1:connector 1=A 2=B 3=Y 4=GND 5=+5V");
/** A board that is quickly made ready. */
const gates = file("gates.json", sound);

/** What every refusal must be: the code, one line a sentence, no stack trace, nothing on the output. */
function expectRefusal(
  run: { code: number; out: string; err: string },
  code: number,
  ...says: (string | RegExp)[]
): void {
  expect(run.err).not.toMatch(/^\s+at /m);
  for (const text of says) expect(run.err).toMatch(text);
  expect(run.code).toBe(code);
  expect(run.out).toBe("");
}

const log = {
  instruments: ["multimeter", "logic-probe"],
  entries: [
    { kind: "symptom", what: "blank-in-border" },
    { kind: "gate", id: "supply", state: "passed" },
    { kind: "reading", at: "U12.6", with: "logic-probe", shows: "pulsing", when: "cold" },
    { kind: "reading", at: "rail:-5V", with: "multimeter", volts: -0.1 },
    { kind: "swap", part: "U16", result: "unchanged" },
  ],
};

describe("finding from a log", () => {
  it("prints JSON of the documented form", async () => {
    const { code, out, err } = await runCli([
      "find",
      "--board",
      "pellow-16",
      "--log",
      file("case.json", log),
      "--json",
    ]);
    expect([code, err]).toEqual([0, ""]);
    const found = findOutputSchema.parse(JSON.parse(out));
    expect(found.board).toBe("pellow-16");
    expect(found.suspects.map(({ part }) => part).slice(0, 3)).toContain("C18");
    expect(found.contradiction).toBeNull();
    expect(found.next.length).toBeGreaterThan(0);
    for (const step of found.next) {
      if (step.action === "gate") continue;
      const sum = step.outcomes.reduce((total, { probability }) => total + probability, 0);
      expect(sum, step.id).toBeGreaterThan(0.9);
      expect(sum, step.id).toBeLessThan(1.0001);
    }
  });

  it("gives the same from the input stream", async () => {
    const words = ["find", "--board", "pellow-16", "--json", "--log"];
    const fromFile = await runCli([...words, file("same.json", log)]);
    const fromStream = await runCli([...words, "-"], { text: JSON.stringify(log) });
    expect(fromStream).toEqual(fromFile);
  });

  it("prints a page for people that fits 80 columns, without colour unless asked for", async () => {
    const words = ["find", "--board", "pellow-16", "--log", file("page.json", log)];
    const plain = await runCli(words);
    expect(plain.code).toBe(0);
    expect(wideLines(plain.out)).toEqual([]);
    expect(plain.out).not.toContain("\u001b");
    const { suspects } = findOutputSchema.parse(JSON.parse((await runCli([...words, "--json"])).out));
    const [first] = suspects;
    expect(plain.out).toMatch(
      new RegExp(`^ 1 ${first?.part} +${first?.type} +${first?.section}.* [\\d.]+ %`, "m"),
    );
    const coloured = await runCli(words, { hasColour: true });
    expect(coloured.out).toContain("\u001b[1m");
    // biome-ignore lint/suspicious/noControlCharactersInRegex: escape sequences begin with a control character
    expect(coloured.out.replace(/\u001b\[\d+m/g, "")).toBe(plain.out);
  });

  it("asks for the safety gate before anything else, with its cautions", async () => {
    const entries = [{ kind: "symptom", what: "no-picture" }];
    const words = ["find", "--board", "merrow", "--log", file("gate.json", { entries })];
    const { out } = await runCli(words);
    expect(out).toContain("First make it safe");
    expect(out).toMatch(/! Unplug from the mains/);
    const { next } = findOutputSchema.parse(JSON.parse((await runCli([...words, "--json"])).out));
    expect(next[0]).toMatchObject({ action: "gate", id: "supply" });
    expect(next.filter((step) => step.action === "reading" && step.powered)).toEqual([]);
  });

  it("lists symptoms, with a board only those it describes", async () => {
    const all = symptomsOutputSchema.parse(JSON.parse((await runCli(["find", "--symptoms", "--json"])).out));
    expect(all.symptoms.map(({ id }) => id)).toEqual(expect.arrayContaining(["no-picture", "tape-fails"]));
    const { out, code } = await runCli(["find", "--symptoms", "--board", gates]);
    expect(code).toBe(0);
    expect(out).toMatch(/^ {2}dead +The machine does not work\./m);
    expect(out).not.toContain("tape-fails");
    expect(wideLines((await runCli(["find", "--symptoms"])).out)).toEqual([]);
  });
});

describe("a log that cannot be used", () => {
  const find = (content: unknown, board = gates, ...more: string[]) =>
    runCli(["find", "--board", board, "--log", file("bad.json", content), ...more]);
  const reading = (at: string, more: object = { with: "logic-probe", shows: "low" }) => ({
    entries: [{ kind: "reading", at, ...more }],
  });

  it.each([
    ["a part that is not there", reading("U99.3"), /bad\.json:1:\d+ entries\[0\]: There is no part.*'U99'/],
    ["a pin that is not there", reading("U1.66"), /has no pin '66'\. Its pins are 1 to 14/],
    ["a net misspelt", reading("net:+5"), /no net called '\+5'.*Did you mean \+5V\?/],
    [
      "a rail that is not there",
      reading("rail:-12V", { with: "multimeter", volts: -12 }),
      /Its rails are \+5V/,
    ],
    [
      "a symptom misspelt",
      { entries: [{ kind: "symptom", what: "no-pictur" }] },
      /Did you mean no-picture\?/,
    ],
    [
      "an impossible voltage",
      reading("rail:+5V", { with: "multimeter", volts: 5000 }),
      /at most 1000, got 5000/,
    ],
    [
      "a voltage beyond all feeds",
      reading("rail:+5V", { with: "multimeter", volts: 48 }),
      /48 V cannot stand at rail:\+5V: the highest feed of Tiny is 5 V/,
    ],
    [
      "an impossible level",
      reading("U1.3", { with: "multimeter", volts: 12 }),
      /12 V cannot stand on the logic line/,
    ],
    ["a field misspelt", reading("U12.6", { with: "logic-probe", show: "low" }), /Did you mean 'shows'\?/],
    ["a kind misspelt", { entries: [{ kind: "readng" }] }, /Did you mean 'reading'\?/],
    ["an instrument misspelt", reading("U1.1", { with: "multimetre" }), /Did you mean 'multimeter'\?/],
    ["a strike of a later entry", { entries: [{ kind: "strike", entry: 4 }] }, /only an earlier entry/],
    ["no JSON", '{"entries": [}', /bad\.json:1:14/],
    ["a list", [], /Expected an object/],
    ["nothing", "", /bad\.json/],
  ])("with %s is refused with its place", async (_, content, says) => {
    expectRefusal(await find(content), 3, says);
  });

  it("is refused as a whole, and says every problem in JSON too", async () => {
    const entries = [...reading("U1.3").entries, ...reading("U99.3").entries, ...reading("U98.1").entries];
    const { code, out, err } = await find({ entries }, gates, "--json");
    expect(code).toBe(3);
    expect(err.trim().split("\n")).toHaveLength(2);
    const said: unknown = JSON.parse(out);
    expect(said).toEqual({
      problems: [
        expect.objectContaining({ code: "unknown-place", where: expect.objectContaining({ line: 1 }) }),
        expect.objectContaining({ message: expect.stringContaining("U98") }),
      ],
    });
  });

  it("was kept on another board", async () => {
    const run = await find({ board: "merrow", entries: [] });
    expectRefusal(run, 3, /kept on board 'merrow', not on 'tiny'/);
  });

  it("is larger than what is read", async () => {
    const run = await find(`{"entries":[]}${" ".repeat(5_000_000)}`);
    expectRefusal(run, 3, /bad\.json: it has 5 MB; at most 5 MB are read/);
    const stream = await runCli(["find", "--board", "pellow-16", "--log", "-"], {
      text: " ".repeat(5_000_001),
    });
    expectRefusal(stream, 3, /the input stream/);
  });

  it("is no text, a folder, or not there", async () => {
    const path = join(folder, "bytes.json");
    writeFileSync(path, Uint8Array.of(0x7b, 0xff, 0xfe));
    expectRefusal(await runCli(["find", "--board", "pellow-16", "--log", path]), 3, /no text in UTF-8/);
    expectRefusal(await runCli(["find", "--board", "pellow-16", "--log", folder]), 3, /it is a folder/);
    const gone = join(folder, "gone.json");
    expectRefusal(await runCli(["find", "--board", "pellow-16", "--log", gone]), 3, /there is no such file/);
  });
});

describe("a board that cannot be used", () => {
  it("is unknown, and the nearest is named", async () => {
    expectRefusal(
      await runCli(["board", "show", "pelow-16"]),
      3,
      /Did you mean 'pellow-16'\?.*merrow, pellow-16/,
    );
  });

  const sound = tinyBoard("U1:74LS00 1=A 2=B 3=Y 7=GND 14=+5V; J1:connector 1=A 2=B 3=Y 4=GND 5=+5V");
  it.each([
    [
      "an unknown type",
      { ...sound, parts: [{ ...sound.parts[0], type: "74LS0O" }] },
      /Did you mean '74LS00'\?/,
    ],
    ["an unknown pin", { ...sound, parts: [{ ...sound.parts[0], pins: { 15: "A" } }] }, /15/],
    ["a field missing", { ...sound, ground: undefined }, /'ground' is missing/],
    ["a broken text", '{"formatVersion": 1,', /:1:\d+/],
  ])("has %s", async (_, content, says) => {
    const path = file("broken-board.json", content);
    expectRefusal(await runCli(["board", "check", path]), 3, /broken-board\.json:\d+:\d+/, says);
    const { code, out } = await runCli(["board", "check", path, "--json"]);
    expect(code).toBe(3);
    expect(JSON.parse(out)).toHaveProperty("problems[0].severity", "error");
  });

  it("is a netlist that is none", async () => {
    const path = file("none.net", "(lamp)");
    expectRefusal(await runCli(["board", "show", path]), 3, /none\.net:1:1.*not a KiCad netlist/);
  });
});

describe("checking and showing a board", () => {
  it("finds nothing left to look at on the installed boards", async () => {
    for (const board of ["merrow", "pellow-16"]) {
      const { code, out } = await runCli(["board", "check", board, "--json"]);
      const checked = checkOutputSchema.parse(JSON.parse(out));
      expect([code, checked.unexplained, checked.unsettled]).toEqual([0, 0, []]);
      const page = await runCli(["board", "check", board]);
      expect(page.code).toBe(0);
      expect(wideLines(page.out)).toEqual([]);
    }
  });

  it("ends with code 1 when something is unexplained", async () => {
    const lonely = tinyBoard("U1:74LS00 1=A 2=B 3=Y 7=GND 14=+5V");
    const path = file("lonely.json", lonely);
    const { code, out } = await runCli(["board", "check", path, "--json"]);
    const checked = checkOutputSchema.parse(JSON.parse(out));
    expect(code).toBe(1);
    expect(checked.unexplained).toBeGreaterThan(0);
    const page = await runCli(["board", "check", path]);
    expect(page.code).toBe(1);
    expect(page.out).toContain(`${checked.unexplained} to look at`);
  });

  it("shows parts, pins and nets", async () => {
    const { code, out } = await runCli(["board", "show", "pellow-16", "--json"]);
    const shown = showOutputSchema.parse(JSON.parse(out));
    expect(code).toBe(0);
    const part = shown.parts.find(({ ref }) => ref === "U12");
    expect(part).toMatchObject({ type: "74LS00", section: "memory", socketed: false });
    expect(part?.pins["6"]).toBe("/CASGATE");
    expect(shown.nets.find(({ name }) => name === "/CASGATE")?.pins).toContain("U12.6");
    const page = await runCli(["board", "show", "pellow-16"]);
    expect(wideLines(page.out)).toEqual([]);
    expect(page.out).toMatch(/^ {2}74LS00 +.*U12/m);
  });
});

const netlist = `(export (version "E") (design (source "lamp.kicad_sch") (tool "test"))
 (components
  (comp (ref "U1") (value "74LS04"))
  (comp (ref "U2") (value "WX9001"))
  (comp (ref "J1") (value "Conn_01x03") (libsource (lib "Connector") (part "Conn_01x03")))
  (comp (ref "R1") (value "4k7") (libsource (lib "Device") (part "R"))))
 (libparts
  (libpart (lib "X") (part "WX9001") (pins (pin (num "1") (name "A") (type "input")) (pin (num "2") (name "Y") (type "output")))))
 (nets
  (net (code "1") (name "GND") (node (ref "U1") (pin "7")) (node (ref "J1") (pin "1")))
  (net (code "2") (name "+5V") (node (ref "U1") (pin "14")) (node (ref "J1") (pin "2")) (node (ref "R1") (pin "1")))
  (net (code "3") (name "IN") (node (ref "U1") (pin "1")) (node (ref "J1") (pin "3")) (node (ref "R1") (pin "2")))
  (net (code "4") (name "MID") (node (ref "U1") (pin "2")) (node (ref "U2") (pin "1")))
  (net (code "5") (name "OUT") (node (ref "U2") (pin "2")) (node (ref "U1") (pin "3")))))`;

describe("importing a netlist", () => {
  it("writes a board that is read again, with the types it made beside it", async () => {
    const source = file("lamp.net", netlist);
    const out = join(folder, "made.json");
    const made = await runCli(["board", "import", source, "--out", out, "--json"]);
    expect(made.code, made.err).toBe(0);
    const said = importOutputSchema.parse(JSON.parse(made.out));
    expect(said).toMatchObject({ board: "lamp", parts: 4 });
    expect(said.written).toEqual([out, join(folder, "made.types.json")]);
    expect(said.guesses.find(({ subject }) => subject === "U1")?.taken).toContain("74LS04");
    const shown = showOutputSchema.parse(JSON.parse((await runCli(["board", "show", out, "--json"])).out));
    const direct = showOutputSchema.parse(
      JSON.parse((await runCli(["board", "show", source, "--json"])).out),
    );
    expect({ ...shown, problems: [] }).toEqual({ ...direct, problems: [] });
    expect(direct.problems.map(({ code }) => code)).toEqual(["unknown-type"]);
    const page = await runCli(["board", "import", source, "--out", out]);
    expect(wideLines(page.out.replaceAll(folder, ""))).toEqual([]);
  });

  it("takes the user's word for a type", async () => {
    const overrides = file("overrides.json", { types: { U2: "74LS04" } });
    const out = join(folder, "told.json");
    const words = ["board", "import", file("told.net", netlist), "--out", out, "--overrides", overrides];
    const { code } = await runCli(words);
    expect(code).toBe(0);
    expect(JSON.parse(readFileSync(out, "utf8"))).toHaveProperty("parts[3].type", "74LS04");
  });

  it("writes nothing when no board comes out", async () => {
    const before = readdirSync(folder);
    const words = [
      "board",
      "import",
      file("empty.net", "(export (version E))"),
      "--out",
      join(folder, "no.json"),
    ];
    expectRefusal(await runCli(words), 3, /empty\.net/);
    expectRefusal(
      await runCli(["board", "import", file("fine.net", netlist), "--out", join(folder, "gone", "x.json")]),
      3,
      /Cannot write .*x\.json: there is no such file or folder/,
    );
    const after = readdirSync(folder).filter((name) => !["empty.net", "fine.net"].includes(name));
    expect(after).toEqual(before);
  });

  it("joins a netlist and a table of pins, and says what does not match", async () => {
    const table =
      "ref,pin,net,type\nU1,7,GND,74LS04\nU1,14,+5V,\nU1,1,X,\nR1,1,+5V,4k7\nR1,2,MID,\nU9,1,X,\n";
    const out = join(folder, "joined.json");
    const words = [
      "board",
      "import",
      file("both.net", netlist),
      file("both.csv", table),
      "--out",
      out,
      "--json",
    ];
    const made = await runCli(words);
    expect(made.code, made.err).toBe(0);
    const said = importOutputSchema.parse(JSON.parse(made.out));
    expect(said).toMatchObject({
      board: "both",
      chips: 2,
      recognised: 1,
      rails: { GND: "GND", "+5V": "+5V" },
      roles: { cpu: [], ram: [], rom: [] },
    });
    expect(said.unknown.map(({ ref }) => ref)).toEqual(["U2"]);
    expect(said.problems.map(({ code }) => code)).toContain("only-in-one-file");
    expect(said.problems.map(({ code }) => code)).toContain("nets-differ");
    expect(said.warnings.some((line) => line.includes("U9"))).toBe(true);
  });

  it.each([
    ["cut short", netlist.slice(0, -200), /lists still open/],
    [
      "with a reference given twice",
      netlist.replace('(ref "R1")', '(ref "U1")'),
      /A second component is called 'U1'/,
    ],
    [
      "with a pin on two nets",
      netlist.replace('(node (ref "U2") (pin "2"))', '(node (ref "U1") (pin "2"))'),
      /is on net 'MID' and on net 'OUT'/,
    ],
  ])("writes nothing from a file %s", async (name, text, says) => {
    const out = join(folder, "refused.json");
    const words = ["board", "import", file(`${name.replaceAll(" ", "-")}.net`, text), "--out", out];
    expectRefusal(await runCli(words), 3, says);
    expect(readdirSync(folder)).not.toContain("refused.json");
  });

  it("compares two boards, and ends with code 1 if they differ", async () => {
    const [one, other] = [
      file("one.net", netlist),
      file("other.net", netlist.replaceAll('"MID"', '"MIDDLE"')),
    ];
    const same = await runCli(["board", "diff", one, one]);
    expect([same.code, same.out]).toEqual([0, "The boards are the same.\n"]);
    const differs = await runCli(["board", "diff", one, other, "--json"]);
    expect(differs.code).toBe(1);
    expect(diffOutputSchema.parse(JSON.parse(differs.out))).toMatchObject({
      same: false,
      renamedNets: [{ before: "MID", after: "MIDDLE" }],
      pins: [],
    });
    const page = await runCli(["board", "diff", one, other]);
    expect(page.out).toContain("Net MID is now MIDDLE");
    expectRefusal(
      await runCli(["board", "diff", one, file("bad.csv", "a,b\n")]),
      3,
      /bad\.csv:1 ref: The first row/,
    );
  });

  it("can be found on directly", async () => {
    const entries = [{ kind: "symptom", what: "dead" }];
    const { code, out } = await runCli([
      "find",
      "--board",
      file("direct.net", netlist),
      "--log",
      file("direct.json", { entries }),
      "--json",
    ]);
    expect(code).toBe(0);
    expect(findOutputSchema.parse(JSON.parse(out)).board).toBe("direct");
  });
});

describe("words that are not understood", () => {
  it.each([
    [["fnd"], /unknown command 'fnd'[\s\S]*Did you mean find\?/],
    [["find", "--bord", "merrow"], /unknown option '--bord'[\s\S]*Did you mean --board\?/],
    [["find", "--json"], /--json needs a log/],
    [["find", "--board", "merrow", "--json"], /--json needs a log/],
    [["find"], /needs a board/],
    [["find", "--board", "merrow", "--instruments", "scpe,multimetr"], /no instrument called 'scpe'/],
    [["find", "--board", "merrow", "--instruments", "multimetr"], /Did you mean 'multimeter'\?/],
    [["find", "--symptoms", "--log", "x.json"], /takes no log/],
    [["find", "--board", "merrow", "--log", "-", "--live"], /give the log as a file/],
    [["board"], /Usage: boardwake board/],
    [["board", "check"], /missing required argument 'board'/],
    [["board", "import", "x.net"], /required option '--out <file>'/],
    [["board", "import", "x.txt", "--out", "x.json"], /no netlist by its name/],
    [["board", "import", "x.net", "--out", "x.txt"], /must end in \.json/],
    [["practice", "--board", "merrow", "--seed", "x"], /seed must be a whole number/],
    [["practice", "--board", "merrow", "--json"], /played with --auto/],
    [[], /Usage: boardwake/],
  ])("%j ends with code 2", async (argv, says) => {
    const { code, out, err } = await runCli(argv);
    expect(err).toMatch(says);
    expect(err).not.toMatch(/^\s+at /m);
    expect(code).toBe(2);
    if (argv.includes("--json")) expect(() => errorOutputSchema.parse(JSON.parse(out))).not.toThrow();
    else expect(out).toBe("");
  });

  it("help and version end with code 0", async () => {
    expect(await runCli(["--version"])).toEqual({ code: 0, out: "0.0.0\n", err: "" });
    const help = await runCli(["find", "--help"]);
    expect([help.code, help.err]).toEqual([0, ""]);
    expect(help.out).toContain("--log <file>");
    expect(wideLines(help.out)).toEqual([]);
  });
});
