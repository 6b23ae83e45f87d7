import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { sketchOutputSchema } from "../../src/app/output/sketch-output.js";
import { runCli, wideLines } from "../support/cli.js";
import { blocksOf } from "../support/sketch.js";
import { machines } from "./machines.js";

const folder = mkdtempSync(join(tmpdir(), "boardwake-sketch-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const path = (name: string): string => join(folder, name);
function blocksFile(name: string, content: unknown): string {
  writeFileSync(path(name), typeof content === "string" ? content : JSON.stringify(content, null, 1));
  return path(name);
}
const sketch = (blocks: string, ...more: string[]): ReturnType<typeof runCli> =>
  runCli(["board", "sketch", "--blocks", blocks, "--out", path("out.json"), ...more]);

describe("boardwake board sketch", () => {
  it("writes a board, its types and a picture, and says what is assumed", async () => {
    const blocks = blocksFile("a.json", machines["a Z80 with one custom chip for nearly everything"]);
    const { code, out, err } = await sketch(blocks, "--picture", path("out.svg"), "--json");
    expect([code, err]).toEqual([0, ""]);
    const made = sketchOutputSchema.parse(JSON.parse(out));
    expect(made.unsettled).toEqual([]);
    expect(made.assumedPins).toBeGreaterThan(made.pins / 2);
    expect(made.written).toEqual([path("out.json"), path("out.types.json"), path("out.svg")]);
    expect(readFileSync(path("out.svg"), "utf8")).toContain("gate array");
  });

  it("makes a board that check and find take", async () => {
    await sketch(blocksFile("b.json", blocksOf("6502")));
    const checked = await runCli(["board", "check", path("out.json")]);
    expect(checked.code).toBe(0);
    const log = blocksFile("log.json", {
      entries: [{ kind: "reading", at: "rail:+5V", with: "multimeter", volts: 0 }],
    });
    const found = await runCli(["find", "--board", path("out.json"), "--log", log, "--json"]);
    expect(found.code).toBe(0);
    expect(JSON.parse(found.out).suspects.length).toBeGreaterThan(0);
  });

  it("keeps its words within a page's width, and names stand-ins", async () => {
    const { out } = await sketch(blocksFile("c.json", blocksOf("6502", { io: [{ type: "6520" }] })));
    expect(wideLines(out)).toEqual([]);
    expect(out).toContain("6520 is taken for 6821");
  });

  it("takes facts and board files as known, and shows contradictions", async () => {
    const blocks = blocksFile("k.json", blocksOf("6502"));
    await sketch(blocks);
    const known = blocksFile("known.json", readFileSync(path("out.json"), "utf8"));
    const same = await sketch(blocks, "--known", known, "--json");
    expect(same.code).toBe(0);
    const made = sketchOutputSchema.parse(JSON.parse(same.out));
    expect([made.contradictions, made.assumedPins < made.pins / 5]).toEqual([[], true]);
    const facts = blocksFile("facts.json", {
      formatVersion: 1,
      parts: [{ sketched: "U999", ref: "IC1" }],
    });
    const odd = await sketch(blocks, "--known", facts);
    expect(odd.code).toBe(1);
    expect(odd.out).toContain("The sketch has no part U999.");
    const bad = await sketch(
      blocks,
      "--known",
      blocksFile("bad-facts.json", { formatVersion: 1, colour: "red" }),
    );
    expect(bad.code).toBe(3);
  });

  it.each([
    ["no JSON", "{", ["json-syntax"]],
    ["an unknown field", { ...blocksOf("Z80"), colour: "red" }, ["field-unknown"]],
    ["an unknown ROM", blocksOf("Z80", { roms: [{ type: "9999", count: 1 }] }), ["unknown-type"]],
    ["a RAM for a ROM", blocksOf("Z80", { roms: [{ type: "4164", count: 1 }] }), ["wrong-type"]],
    ["seven memory chips of one bit", blocksOf("Z80", { ram: [{ type: "4164", chips: 7 }] }), ["odd-memory"]],
    [
      "one reference twice",
      blocksOf("Z80", { ram: [{ type: "6264", chips: 2, refs: ["U1", "U1"] }] }),
      ["duplicate-part"],
    ],
    [
      "a rail twice",
      blocksOf("Z80", {
        rails: [
          { volt: 5, from: "outside" },
          { volt: 5, from: "regulator" },
        ],
      }),
      ["too-many"],
    ],
    ["a video clock without a video chip", blocksOf("Z80", { clock: { by: "video" } }), ["missing-block"]],
  ] as const)("refuses %s with its place, and writes nothing", async (name, content, codes) => {
    const blocks = blocksFile("bad.json", content);
    rmSync(path("out.json"), { force: true });
    const { code, out, err } = await sketch(blocks, "--json");
    expect(code, name).toBe(3);
    expect(err).toContain("bad.json");
    const [problem] = JSON.parse(out).problems;
    expect(codes).toContain(problem.code);
    expect(() => readFileSync(path("out.json"))).toThrow();
  });

  it("wants a .json for the board and a .svg for the picture", async () => {
    const blocks = blocksFile("d.json", blocksOf("Z80"));
    const board = await runCli(["board", "sketch", "--blocks", blocks, "--out", path("out.txt")]);
    const picture = await sketch(blocks, "--picture", path("out.png"));
    expect([board.code, picture.code]).toEqual([2, 2]);
  });
});
