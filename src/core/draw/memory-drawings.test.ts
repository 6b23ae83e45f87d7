import { describe, expect, it } from "vitest";
import { blocksPath } from "./blocks.js";
import { panelMarks, panelText, renderMemoryMap } from "./memory-map-svg.js";
import { drawnScreen, renderMemoryPicture, signOf } from "./memory-picture.js";

describe("paths over squares", () => {
  it("join neighbours of a row and never run into the next row", () => {
    expect(blocksPath([1, 1, 0, 0, 0, 1], 3, (cell) => cell === 1)).toBe("M0 0h2v1h-2zM2 1h1v1h-1z");
    expect(blocksPath([0, 1, 1, 1], 2, (cell) => cell === 1)).toBe("M1 0h1v1h-1zM0 1h2v1h-2z");
    expect(blocksPath([1, 1], 2, (cell) => cell === 1, 0.25)).toBe(
      "M0.25 0.25h0.5v0.5h-0.5zM1.25 0.25h0.5v0.5h-0.5z",
    );
  });
});

describe("the memory map", () => {
  const panel = { part: "U7", bit: 4, across: 2, states: [0, 1, 2, 3, 1, 1], failing: 3, tested: 10 };

  it("tells untested, some and all apart by their marks", () => {
    const marks = panelMarks(panel);
    expect(marks).toMatchObject({ across: 2, down: 3, untested: "M0 1l1 -1", all: "M1 1h1v1h-1z" });
    expect(marks.some).toMatch(/^M0\.2 1\.2/);
  });

  it("names each chip and counts in words", () => {
    expect(panelText(panel)).toBe("data bit 4: 3 of 10 fail");
    expect(panelText({ ...panel, failing: 0 })).toBe("data bit 4: good");
    expect(panelText({ ...panel, failing: 10 })).toBe("data bit 4: all fail");
    expect(panelText({ ...panel, failing: 0, tested: 0 })).toBe("data bit 4: not tested");
    const svg = renderMemoryMap("Memory <A>", [panel, { ...panel, part: "U8", bit: 5, failing: 0 }]);
    expect(svg).toContain("<title>Memory &lt;A&gt;</title>");
    expect(svg).toContain("U8");
    expect(svg.match(/stroke-width="3"/g)).toHaveLength(1);
  });
});

describe("a screen", () => {
  it("of dots is a path through those that are lit", () => {
    expect(drawnScreen({ kind: "dots", width: 4, dots: [0, 1, 1, 0, 0, 0, 0, 1] })).toEqual({
      width: 4,
      height: 2,
      lit: "M1 0h2v1h-2zM3 1h1v1h-1z",
      rows: [],
    });
  });

  it("of characters draws inverse ones apart, and a box for a code without a character", () => {
    const screen = drawnScreen({ kind: "characters", columns: 3, words: [0x41, 0xc2, 0x05], inverseBit: 7 });
    expect(screen).toEqual({
      width: 24,
      height: 8,
      lit: "M8 0h8v8h-8z",
      rows: [{ y: 0, plain: "A\u00a0▯", inverse: "\u00a0B\u00a0" }],
    });
    expect(signOf(0x7f)).toBe("▯");
    const svg = renderMemoryPicture("Screen", { kind: "characters", columns: 2, words: [0x3c, 0x26] });
    expect(svg).toContain("&lt;&amp;");
  });
});
