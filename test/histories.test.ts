import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { describeMachine } from "../bench/histories/to-blocks.js";
import { type Bench, stepEntries, symptomEntries } from "../bench/histories/to-entries.js";
import { fits, type History, historyPhrasesSchema, historySchema } from "../bench/histories/vocabulary.js";
import { blockFlaws } from "../src/core/board/sketch/flaws.js";
import { sketchBoard } from "../src/core/board/sketch/sketch.js";
import { buildCircuit } from "../src/core/find/settle/build.js";
import { testDataPath } from "./reference/support/check.js";
import { installedSketchData, sketched } from "./support/sketch.js";
import { readRepositoryFile } from "./support/source-files.js";

const phrases = historyPhrasesSchema.parse(
  JSON.parse(readRepositoryFile("data/sketch/history-phrases.json")),
);
const path = testDataPath("repair-histories/histories.jsonl");
if (path === null) console.warn("skipped: the repair histories are not here, so none is sketched");

/** A made-up history. */
const story = (more: Partial<History>): History => ({
  id: "case-999",
  machine_family: "other",
  blocks: [
    "Z80",
    "8x4116",
    "16K ROM",
    "ULA-type custom chip",
    "DC-DC switching transistor and driver",
    "7805",
  ],
  symptoms: [],
  readings: [],
  guesses_made: [],
  fault_classes: ["ram_dram"],
  additional_faults: [],
  good_parts_replaced: 0,
  usable_for_scoring: true,
  ...more,
});

function benchOf(history: History): Bench {
  const { blocks } = describeMachine(history, phrases);
  if (blocks === undefined) throw new Error("the made-up history has no blocks");
  const { board, library } = sketched(blocks);
  return { board, typeOf: (name) => library.get(name) };
}

describe("the words of repair histories", () => {
  it("name blocks by one vocabulary", () => {
    const { blocks, unmatched } = describeMachine(
      story({ blocks: [...story({}).blocks, "flux device"] }),
      phrases,
    );
    expect(unmatched).toEqual(["flux device"]);
    expect(blocks?.ram).toMatchObject([{ type: "4116", chips: 8, use: "main" }]);
    expect(blocks?.rails.map(({ volt }) => volt).sort((a, b) => a - b)).toEqual([-5, 5, 12]);
    expect(blocks?.video.also).toContain("keyboard");
  });

  it("give symptoms, later ones apart", () => {
    const told = story({ symptoms: ["black screen", "later: garbage", "smells of pepper"] });
    const { entries, later, unmatched } = symptomEntries(told, phrases, () => true);
    expect(entries.map((entry) => entry.kind === "symptom" && entry.what)).toEqual(["no-picture"]);
    expect([later, unmatched]).toEqual([["later: garbage"], ["smells of pepper"]]);
  });

  it("give rails clause by clause, swaps with their result, and nothing where they say nothing", () => {
    const bench = benchOf(story({}));
    const step = (kind: string, what: string, where: string, result: string) =>
      stepEntries({ kind, what, where, result }, phrases, bench);
    expect(
      step("rail_volts", "the rails", "4116", "+5 V steady; -5 V and +12 V absent").entries,
    ).toMatchObject([
      { at: "rail:+5V", volts: 5 },
      { at: "rail:+12V", volts: 0 },
      { at: "rail:-5V", volts: 0 },
    ]);
    expect(step("rail_volts", "+5 V", "board", "4.4 V").entries).toMatchObject([
      { at: "rail:+5V", volts: 4.4 },
    ]);
    expect(step("swap", "CPU exchanged", "CPU", "no change").swapped?.result).toBe("unchanged");
    expect(step("swap", "CPU exchanged", "CPU", "cured").swapped?.result).toBe("fixed");
    expect(step("visual", "stars", "sky", "bright").entries).toEqual([]);
  });

  it("are lower case, and key nothing on a case", () => {
    const all = [...phrases.blocks, ...phrases.symptoms, ...phrases.places, ...phrases.results];
    expect(all.filter(({ phrase }) => phrase !== phrase.toLowerCase() || /case-?\d/.test(phrase))).toEqual(
      [],
    );
    expect(fits("a+b", "B A") && !fits("a+c", "B A")).toBe(true);
  });

  it.runIf(path !== null)(
    "let all but one real history be sketched, and each sketch settles healthy",
    () => {
      const histories = readFileSync(path ?? "", "utf8")
        .split("\n")
        .filter((line) => line.trim() !== "")
        .map((line) => historySchema.parse(JSON.parse(line)));
      const seen = new Set<string>();
      const left: string[] = [];
      for (const history of histories) {
        const { blocks } = describeMachine(history, phrases);
        if (blocks === undefined) {
          left.push(history.id);
          continue;
        }
        const key = JSON.stringify({ ...blocks, id: "" });
        if (seen.has(key)) continue;
        seen.add(key);
        expect(blockFlaws(blocks, installedSketchData()), history.id).toEqual([]);
        const { board } = sketchBoard(blocks, installedSketchData());
        const { library } = sketched(blocks);
        expect(buildCircuit(board, library).unexplained, history.id).toEqual([]);
      }
      expect(left).toHaveLength(1);
    },
    60_000,
  );
});
