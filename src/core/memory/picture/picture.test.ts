import { describe, expect, it } from "vitest";
import { loadBoard } from "../../../app/load-board.js";
import { openStore } from "../../../store/store.js";
import { createRandom } from "../../base/random.js";
import type { Board } from "../../board/board.js";
import { pictureFaultOf } from "./explained-picture.js";
import type { PictureFault } from "./picture-fault.js";
import { pictureFaults } from "./picture-faults.js";
import { lookOf, lookText } from "./picture-look.js";
import { type PictureContent, type PicturePlan, planPicture } from "./picture-plan.js";
import { faultsOfCharacters, faultsOfStripes } from "./read-picture.js";
import { pictureDots, pictureWords } from "./shown-picture.js";

const store = openStore();

function loaded(name: string) {
  const { value } = loadBoard(store, name);
  if (value === undefined) throw new Error(`${name} is not sound`);
  return value;
}

function planOf(name: string, change: (board: Board) => Board = (board) => board): PicturePlan {
  const { board, types } = loaded(name);
  const { value, problems } = planPicture(change(board), types);
  if (value === undefined) throw new Error(problems.map(({ message }) => message).join(" "));
  return value;
}

const dots = planOf("pellow-16");
const text = planOf("merrow");

function look(plan: PicturePlan, content: PictureContent, fault: PictureFault) {
  return lookOf(plan, pictureWords(plan, content, undefined), pictureWords(plan, content, fault));
}

/** The character at a place, where the picture is blank. */
function characters(fault: PictureFault): string {
  return [...new Set(pictureWords(text, "blank", fault))].map((word) => String.fromCharCode(word)).join("");
}

describe("where a picture lies", () => {
  it("is 32 bytes a line from 2000 on one demo board", () => {
    const at = (row: number, column: number) => dots.addresses[row * 32 + column];
    expect([at(0, 0), at(0, 31), at(1, 0), at(191, 31)]).toEqual([0x2000, 0x201f, 0x2020, 0x37ff]);
  });

  it("is folded on the other: the eight columns at the right lie at 1300 + 8 times the row", () => {
    const at = (row: number, column: number) => text.addresses[row * 40 + column];
    expect([at(0, 0), at(1, 31), at(0, 32), at(1, 32), at(23, 39)]).toEqual([
      0x1000,
      0x103f,
      0x1300,
      0x1308,
      0x1300 + 8 * 23 + 7,
    ]);
    expect(new Set(text.addresses).size).toBe(40 * 24);
  });

  it.each<[string, (layout: NonNullable<NonNullable<Board["chain"]["picture"]>["layout"]>) => object]>([
    ["picture-layout-place", (layout) => ({ ...layout, rows: 193 })],
    ["picture-layout-place", (layout) => ({ ...layout, rows: 100 })],
    ["picture-layout-place", (layout) => ({ ...layout, pieces: [...layout.pieces, ...layout.pieces] })],
    [
      "picture-layout-outside",
      (layout) => ({ ...layout, pieces: layout.pieces.map((piece) => ({ ...piece, from: "9000" })) }),
    ],
    ["picture-layout-bits", (layout) => ({ ...layout, dotsAcross: 7 })],
    ["picture-layout-bits", (layout) => ({ ...layout, draws: { ...layout.draws, leftBit: 8, rightBit: 1 } })],
  ])("is refused with %s where it cannot be", (code, change) => {
    const { board, types } = loaded("pellow-16");
    const picture = board.chain.picture;
    if (picture?.layout === undefined) throw new Error("no layout");
    const layout = { ...picture.layout, ...change(picture.layout) };
    const { value, problems } = planPicture(
      { ...board, chain: { ...board.chain, picture: { ...picture, layout } } },
      types,
    );
    expect(value).toBeUndefined();
    expect(problems.map((problem) => problem.code)).toContain(code);
  });

  it("is unknown where the board does not say", () => {
    const { board, types } = loaded("pellow-16");
    const { picture: _, ...chain } = board.chain;
    expect(planPicture({ ...board, chain }, types).problems.map(({ code }) => code)).toEqual([
      "picture-layout-missing",
    ]);
  });
});

describe("what a fault draws, worked out by hand", () => {
  // Shift register U33 sends VD7 first, so data bit 5 (U22) is the third dot of eight.
  it("a chip's bit stuck: upright stripes of one dot in eight", () => {
    const seen = look(dots, "zeros", { kind: "bits-stuck", bits: [5], level: 1 });
    expect(seen).toMatchObject({
      shape: "upright-stripes",
      across: { every: 8, at: [{ from: 3, to: 3 }] },
      becomes: "lit",
    });
    expect(lookText(seen)).toBe(
      "Upright stripes: dot 3 of every 8, counted from the left, lit that should be dark.",
    );
    expect(look(dots, "ones", { kind: "bits-stuck", bits: [5], level: 1 }).shape).toBe("none");
    expect(look(dots, "ones", { kind: "bits-stuck", bits: [0], level: 0 })).toMatchObject({
      across: { every: 8, at: [{ from: 8, to: 8 }] },
      becomes: "dark",
    });
  });

  // Row address is A0 to A6: the byte in the line and the two lowest bits of the line. Row 69 is byte 5 of lines 2, 6, 10 ...
  it("a row of a chip: one dot every fourth line", () => {
    const seen = look(dots, "zeros", { kind: "cells", axis: "row", number: 0b10_00101, bits: [7], level: 1 });
    expect(seen).toMatchObject({
      shape: "pattern",
      across: { at: [{ from: 41, to: 41 }] },
      down: { every: 4, at: [{ from: 3, to: 3 }] },
    });
  });

  // Column address is A7 to A13: line divided by four, and 64 for the start at 2000. Column 64 + 10 is lines 40 to 43.
  it("a column of a chip: a stretch of four lines", () => {
    const seen = look(dots, "zeros", { kind: "cells", axis: "column", number: 64 + 10, bits: [7], level: 1 });
    expect(seen).toMatchObject({
      shape: "pattern",
      across: { every: 8, at: [{ from: 1, to: 1 }] },
      down: { at: [{ from: 41, to: 44 }] },
    });
  });

  it("an address line at rest for program and picture alike does not show on an even picture", () => {
    const fault: PictureFault = { kind: "address-line", lines: [0, 7], level: 0, side: "both" };
    for (const content of ["zeros", "ones", "blank"] as const)
      expect(look(dots, content, fault).shape).toBe("none");
    expect(look(dots, "counting", fault).shape).not.toBe("none");
  });

  // The program reaches only even bytes; the odd ones keep what they woke up with, which where A6 is high is FF.
  it("an address line at rest on the processor's side: places that were never written", () => {
    const seen = look(dots, "zeros", { kind: "address-line", lines: [0], level: 0, side: "processor" });
    expect(seen).toMatchObject({
      shape: "pattern",
      across: { every: 16, at: [{ from: 9, to: 16 }] },
      down: { every: 4, at: [{ from: 3, to: 4 }] },
      becomes: "lit",
    });
  });

  it("nothing written: the pattern that the chips wake up with", () => {
    expect(look(dots, "zeros", { kind: "not-written" })).toMatchObject({
      shape: "level-stripes",
      down: { every: 4, at: [{ from: 3, to: 4 }] },
    });
  });

  it("a chip that forgets shows its resting level", () => {
    expect(look(dots, "zeros", { kind: "forgets", bits: [6] })).toMatchObject({
      across: { every: 8, at: [{ from: 2, to: 2 }] },
      down: { every: 4, at: [{ from: 3, to: 4 }] },
    });
  });

  it("characters: blank (20) with bit 2 high is a dollar sign (24), with bit 5 low none that can be shown", () => {
    expect(characters({ kind: "bits-stuck", bits: [2], level: 1 })).toBe("$");
    expect(characters({ kind: "bits-stuck", bits: [0, 1, 2, 3], level: 1 })).toBe("/");
    expect(characters({ kind: "data-bits-swapped", first: 5, second: 6 })).toBe("@");
    expect(lookText(look(text, "blank", { kind: "bits-stuck", bits: [2], level: 1 }))).toBe(
      "Every character is another one.",
    );
  });
});

describe("the picture of an explanation", () => {
  const part = (name: string) =>
    ({ part: name, pins: [], failureMode: "no-output", weight: 1, why: "" }) as const;

  it("is that of its chip, row, column or address line", () => {
    const chip = { parts: [part("U22")], about: { dataBits: [5], level: 1, column: 80 } } as const;
    expect(pictureFaultOf({ kind: "chip-bit", ...chip }, dots)).toEqual({
      kind: "bits-stuck",
      bits: [5],
      level: 1,
    });
    expect(pictureFaultOf({ kind: "chip-column", ...chip }, dots)).toEqual({
      kind: "cells",
      axis: "column",
      number: 80,
      bits: [5],
      level: 1,
    });
    const line = { parts: [part("U30")], about: { addressLines: [6, 13] } };
    expect(pictureFaultOf({ kind: "address-line", ...line }, dots)).toEqual({
      kind: "address-line",
      lines: [6, 13],
      level: 0,
      side: "both",
    });
  });

  it("is none for another memory, or for what has no place", () => {
    const main = { parts: [part("U3")], about: { dataBits: [0] } };
    expect(pictureFaultOf({ kind: "chip-bit", ...main }, text)).toBeUndefined();
    expect(pictureFaultOf({ kind: "chip-row", parts: [part("U22")] }, dots)).toBeUndefined();
    expect(pictureFaultOf({ kind: "two-chips", parts: [part("U22")] }, dots)).toBeUndefined();
  });
});

describe("what any fault draws", () => {
  it("a stuck bit changes one dot in each byte at most, whatever the picture holds", () => {
    const random = createRandom(5);
    for (let round = 0; round < 20; round += 1) {
      const bit = random.below(8);
      const level = random.below(2) === 0 ? 0 : 1;
      const good = pictureDots(dots, pictureWords(dots, "counting", undefined));
      const shown = pictureDots(
        dots,
        pictureWords(dots, "counting", { kind: "bits-stuck", bits: [bit], level }),
      );
      expect(shown).toEqual(good.map((dot, k) => (k % 8 === 7 - bit ? level : dot)));
    }
  });

  it("a good board shows what was written", () => {
    expect(new Set(pictureWords(dots, "ones", undefined))).toEqual(new Set([0xff]));
    expect(new Set(pictureWords(text, "blank", undefined))).toEqual(new Set([0x20]));
    expect([...pictureWords(dots, "counting", undefined).slice(254, 258)]).toEqual([254, 255, 0, 1]);
  });

  it("joined lines make the same picture whichever of them the program or the picture drives", () => {
    const words = pictureWords(dots, "counting", {
      kind: "address-lines-joined",
      pairs: [[0, 1]],
      winner: 0,
    });
    // 0, 1 and 2 are one cell where low wins: the last of them to be written is seen in all three.
    expect([...words.slice(0, 8)]).toEqual([2, 2, 2, 3, 6, 6, 6, 7]);
    const high = pictureWords(dots, "counting", { kind: "address-lines-joined", pairs: [[0, 1]], winner: 1 });
    expect([...high.slice(0, 8)]).toEqual([0, 3, 3, 3, 4, 7, 7, 7]);
  });

  it("names parts of the board for every failure in the list, and no failure twice", () => {
    for (const [name, plan] of [
      ["pellow-16", dots],
      ["merrow", text],
    ] as const) {
      const refs = new Set(loaded(name).board.parts.map(({ ref }) => ref));
      const faults = pictureFaults(plan.array);
      expect(new Set(faults.map(({ title }) => title)).size).toBe(faults.length);
      for (const { parts } of faults) {
        expect(parts.length).toBeGreaterThan(0);
        expect(parts.filter((part) => !refs.has(part))).toEqual([]);
      }
    }
  });
});

describe("from what is seen to the bit", () => {
  it("every eighth dot, the third from the left, lit: data bit 5 high", () => {
    const found = faultsOfStripes(dots, { direction: "upright", every: 8, at: 3, wide: 1, becomes: "lit" });
    expect(found.map(({ parts, fault }) => [parts[0], fault])).toEqual([
      ["U22", { kind: "bits-stuck", bits: [5], level: 1 }],
    ]);
  });

  it("gives back every stuck bit that was drawn", () => {
    for (const { fault } of pictureFaults(dots.array)) {
      // Each search draws every fault: four of the sixteen do.
      if (fault.kind !== "bits-stuck" || (fault.bits[0] ?? 0) % 4 !== 1) continue;
      const becomes = fault.level === 1 ? "lit" : "dark";
      const seen = {
        direction: "upright",
        every: 8,
        at: 8 - (fault.bits[0] ?? 0),
        wide: 1,
        becomes,
      } as const;
      expect(faultsOfStripes(dots, seen).map((match) => match.fault)).toEqual([fault]);
    }
  });

  it("finds nothing for stripes that no memory fault makes", () => {
    expect(faultsOfStripes(dots, { direction: "upright", every: 7, at: 3, wide: 1, becomes: "lit" })).toEqual(
      [],
    );
  });

  it("a dollar sign for a blank: data bit 2 of U33 high; a second pair decides between that and a swap", () => {
    const first = faultsOfCharacters(text, [{ right: 0x20, wrong: 0x24 }]);
    expect(first.map(({ parts }) => parts[0])).toEqual(["U33"]);
    const swap = [{ right: 0x41, wrong: 0x42 }];
    expect(faultsOfCharacters(text, swap).map(({ fault }) => fault.kind)).toEqual(["data-bits-swapped"]);
    expect(faultsOfCharacters(text, [...swap, { right: 0x41, wrong: 0x43 }])).toEqual([]);
  });
});
