import { describe, expect, it } from "vitest";
import { type ArrayFault, marchFailures, patternFailures } from "../../../../test/support/failing-memory.js";
import { loadBoard } from "../../../app/load-board.js";
import { openStore } from "../../../store/store.js";
import { type MemoryArray, mapMemory } from "../map/memory-map.js";
import { explainFailures, type MemoryExplanation } from "./explain.js";
import type { FailingRead } from "./failure-list.js";

const store = openStore();

function arraysOf(name: string): readonly MemoryArray[] {
  const { value } = loadBoard(store, name);
  const mapped = value === undefined ? undefined : mapMemory(value.board, value.types).value;
  if (mapped === undefined) throw new Error(`${name} has no memory map`);
  return mapped;
}

const boards = { pellow: arraysOf("pellow-16"), merrow: arraysOf("merrow") };

function arrayAt(board: keyof typeof boards, region: string): MemoryArray {
  const found = boards[board].find(({ regions }) => regions.includes(region));
  if (found === undefined) throw new Error(`no region ${region}`);
  return found;
}

function explain(board: keyof typeof boards, reads: readonly FailingRead[]): MemoryExplanation {
  const { value, problems } = explainFailures(boards[board], reads);
  expect(problems).toEqual([]);
  if (value === undefined) throw new Error("not explained");
  return value;
}

type Test = typeof marchFailures;

/** Kind and parts of the first explanation. */
function first(board: keyof typeof boards, region: string, test: Test, fault: ArrayFault) {
  const [best] = explain(board, test(arrayAt(board, region), fault)).explanations;
  return { kind: best?.kind, parts: best?.parts.map(({ part }) => part) ?? [] };
}

const march = marchFailures;
const pattern = patternFailures;

describe("what failing reads say", () => {
  it.each<[keyof typeof boards, string, Test, ArrayFault, string, string[]]>([
    ["pellow", "workspace", march, { kind: "bit", bit: 3, value: 0 }, "chip-bit", ["U20"]],
    ["pellow", "workspace", pattern, { kind: "bit", bit: 3, value: 1 }, "chip-bit", ["U20"]],
    ["pellow", "workspace", march, { kind: "cell", bit: 6, address: 77, value: 0 }, "chip-cells", ["U23"]],
    ["pellow", "workspace", march, { kind: "row", bit: 0, index: 17, value: 0 }, "chip-row", ["U17"]],
    [
      "pellow",
      "workspace",
      pattern,
      { kind: "column", bit: 7, index: 100, value: 1 },
      "chip-column",
      ["U24"],
    ],
    ["pellow", "workspace", pattern, { kind: "line", line: 2, value: 0 }, "address-line", ["R6", "U29"]],
    ["pellow", "workspace", march, { kind: "line", line: 2, value: 1 }, "address-line-some", ["U29", "U30"]],
    ["pellow", "workspace", march, { kind: "line", line: 5, value: 1, part: "U20" }, "chip-bit", ["U20"]],
    [
      "pellow",
      "workspace",
      pattern,
      { kind: "joined", lines: [1, 2], wiring: "and" },
      "address-lines-short",
      ["U29", "U29"],
    ],
    [
      "pellow",
      "workspace",
      march,
      { kind: "joined", lines: [3, 6], wiring: "or" },
      "address-lines-short",
      ["U29", "U30"],
    ],
    [
      "pellow",
      "workspace",
      pattern,
      { kind: "input", line: 4, half: "row", value: 1 },
      "address-input",
      ["U26", "U6", "U30"],
    ],
    ["pellow", "workspace", march, { kind: "silent", word: 0xff }, "column-strobe", ["R12", "U12"]],
    ["pellow", "workspace", march, { kind: "no-write" }, "write", ["R13", "U13"]],
    ["pellow", "workspace", march, { kind: "forgets", line: 6, value: 1 }, "refresh-rows", ["U30", "U26"]],
    [
      "pellow",
      "workspace",
      march,
      { kind: "cells-alike", bit: 3, address: 256, other: 320 },
      "two-addresses",
      ["U20"],
    ],
    ["merrow", "ram", march, { kind: "bit", bit: 7, value: 1 }, "chip-bit", ["U10"]],
    ["merrow", "ram", march, { kind: "forgets", line: 7, value: 1, part: "U6" }, "chip-refresh", ["U6"]],
    [
      "merrow",
      "ram",
      pattern,
      { kind: "joined", lines: [3, 6], wiring: "or" },
      "address-lines-short",
      ["U11", "U12"],
    ],
    ["merrow", "screen", march, { kind: "chip", part: "U34", value: 1 }, "chip-bits", ["U34"]],
    ["merrow", "screen", march, { kind: "bit", bit: 2, value: 0 }, "chip-bit", ["U33"]],
    ["merrow", "screen", pattern, { kind: "silent", word: 0xff }, "data-buffer", ["U35"]],
  ])("%s %s, case %#: the first explanation is the cause", (board, region, test, fault, kind, parts) => {
    expect(first(board, region, test, fault)).toEqual({ kind, parts });
  });

  it("names strobe and buffer together when the chips are silent", () => {
    const reads = marchFailures(arrayAt("pellow", "upper"), { kind: "silent", word: 0xff });
    const kinds = explain("pellow", reads)
      .explanations.slice(0, 3)
      .map(({ kind }) => kind);
    expect(kinds.sort()).toEqual(["column-strobe", "data-buffer", "row-strobe"]);
  });

  it("names two chips when two are bad, and the bus line when one bit fails in every memory", () => {
    const pellow = arrayAt("pellow", "workspace");
    const two = [1, 6].flatMap((bit) => patternFailures(pellow, { kind: "bit", bit, value: 0 }));
    const merged = new Map<number, FailingRead>();
    for (const fail of two) {
      const known = merged.get(fail.address);
      merged.set(fail.address, known === undefined ? fail : { ...fail, read: known.read & fail.read });
    }
    const [best] = explain("pellow", [...merged.values()]).explanations;
    expect(best?.kind).toBe("two-chips");
    expect(best?.parts.map(({ part }) => part).sort()).toEqual(["U18", "U23"]);
    const bus = boards.merrow.flatMap((array) => marchFailures(array, { kind: "bit", bit: 5, value: 0 }));
    const [line] = explain("merrow", bus).explanations;
    expect(line?.kind).toBe("data-line");
    expect(line?.parts.map(({ part }) => part).sort()).toEqual(["U34", "U8"]);
  });

  it("calls a chip slow when it fails only warm", () => {
    const reads = marchFailures(arrayAt("pellow", "workspace"), { kind: "bit", bit: 4, value: 0 });
    const [best] = explain(
      "pellow",
      reads.map((read) => ({ ...read, when: "warm" as const })),
    ).explanations;
    expect(best?.title).toContain("when warm");
    expect(best?.parts[0]).toMatchObject({ part: "U21", failureMode: "slow" });
  });

  it("gives shares that sum to one or less, best first, and counts that add up", () => {
    const reads = patternFailures(arrayAt("merrow", "ram"), { kind: "row", bit: 2, index: 200, value: 1 });
    const { explanations, cells, addresses } = explain("merrow", reads);
    expect(addresses).toBe(reads.length);
    expect(cells).toBe(reads.length);
    const shares = explanations.map(({ share }) => share);
    expect(shares.reduce((sum, share) => sum + share, 0)).toBeLessThanOrEqual(1 + 1e-9);
    expect([...shares].sort((a, b) => b - a)).toEqual(shares);
    for (const { explained, unexplained } of explanations) expect(explained + unexplained).toBe(cells);
  });

  it("takes a copy of a small memory for the memory itself", () => {
    const [best] = explain("merrow", [{ address: 0x1c05, expected: 0x55, read: 0x54 }]).explanations;
    expect(best?.parts[0]?.part).toBe("U33");
  });

  it.each<[FailingRead, string]>([
    [
      { address: 0x0800, expected: 0, read: 1 },
      "Address 0800 is no RAM of this board; its RAM is at 1000-1FFF, 2000-FFFF.",
    ],
    [{ address: 0x12345, expected: 0, read: 1 }, "Address 12345 is no RAM"],
    [{ address: 0x2000, expected: 0x100, read: 1 }, "holds 8 bits, which 100 does not fit"],
    [{ address: 0x5000, expected: 0, read: 1 }, "lies outside what was tested, 2000-3FFF"],
  ])("refuses %j", (read, sentence) => {
    const tested = [{ from: 0x2000, to: 0x3fff }];
    const { value, problems } = explainFailures(boards.merrow, [read], { tested });
    expect(value).toBeUndefined();
    expect(problems[0]?.message).toContain(sentence);
  });
});
