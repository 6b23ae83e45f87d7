import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { joinDrafts } from "../../src/core/board/import-join.js";
import { summariseImport } from "../../src/core/board/import-summary.js";
import { parseBoardFile } from "../../src/core/board/read/board-file.js";
import { readBoardText } from "../../src/core/board/read/detect-format.js";
import { boardFromNetlist } from "../../src/core/board/recognise/board-from-netlist.js";
import { testDataPath } from "../reference/support/check.js";
import { readPartLibrary } from "../support/part-types.js";
import { readRecognitionData } from "../support/recognition.js";

/*
 * Netlist and layout of one board were exported from two editors by other people; they are read by two readers of ours
 * and must say the same. Where they do not, the difference was looked up in the files by hand.
 */
interface Pair {
  readonly path: string;
  readonly parts: number;
  /** Millimetres, as the drawing's edge lines say. */
  readonly outline: readonly [width: number, height: number];
  /** Codes of what does not match, each with the parts or pins it names. */
  readonly differences: readonly (readonly [code: string, names: RegExp])[];
  readonly turned: Readonly<Record<string, number>>;
}

const pairs: readonly Pair[] = [
  {
    path: "boards/easy-z80/Easy_Z80",
    parts: 58,
    outline: [99.949, 99.949],
    differences: [],
    // Drawn lying, pin 1 at the bottom left.
    turned: { U3: 270 },
  },
  {
    path: "boards/kz80-tms9918a-dram/KZ80-TMS9918A-DRAM-1bit",
    parts: 45,
    outline: [100, 100],
    // Four mounting holes are only in the schematic, and the layout grounds the open pin 9 of each memory chip.
    differences: [
      ["only-in-one-file", /MH1, MH2, MH3, MH4/],
      ...Array.from({ length: 8 }, () => ["nets-differ", /^Pin 'U\d+\.9' is on net 'GND' here/] as const),
    ],
    turned: { U11: 0 },
  },
  {
    path: "boards/rc6502-cards/RC6502_CPU",
    parts: 12,
    outline: [99.06, 49.53],
    differences: [],
    turned: { U1: 270 },
  },
  {
    path: "boards/rc6502-cards/RC6502_RAM",
    parts: 23,
    outline: [99.06, 54.61],
    differences: [],
    turned: { U1: 270 },
  },
];

const library = readPartLibrary();
const recognition = readRecognitionData();

describe.each(pairs)("netlist and layout of $path", ({ path, parts, outline, differences, turned }) => {
  const files = [`${path}.net`, `${path}.kicad_pcb`].map((name) => {
    const file = testDataPath(name);
    if (file === null) return undefined;
    const { value, problems, format } = readBoardText(readFileSync(file, "utf8"), { file: name });
    if (value === undefined) throw new Error(JSON.stringify(problems));
    return { file: name, format, draft: value, problems };
  });
  const [netlist, layout] = files;
  const test = (
    name: string,
    body: (net: NonNullable<typeof netlist>, pcb: NonNullable<typeof layout>) => void,
  ): void =>
    it(name, ({ skip }) => {
      if (netlist === undefined || layout === undefined)
        return skip(`the test data ${path} is not here (see BOARDWAKE_TEST_DATA)`);
      body(netlist, layout);
    });

  test("are read without an error", (net, pcb) => {
    expect([net.format, pcb.format]).toEqual(["kicad-netlist", "kicad-pcb"]);
    expect([...net.problems, ...pcb.problems].filter(({ code }) => code !== "duplicate-node")).toEqual([]);
  });

  test("agree on parts, values and nets, whichever is named first", (net, pcb) => {
    for (const order of [
      [net, pcb],
      [pcb, net],
    ]) {
      const { problems } = joinDrafts(order);
      expect(problems.map(({ code }) => code).sort()).toEqual(differences.map(([code]) => code).sort());
      for (const [code, said] of differences)
        expect(problems.some((problem) => problem.code === code && said.test(problem.message))).toBe(true);
    }
  });

  test("make one board, with types from the netlist and places from the layout", (net, pcb) => {
    const joined = joinDrafts([net, pcb]).value;
    if (joined === undefined) throw new Error("nothing was joined");
    const context = { library, recognition, fileName: net.file };
    const { value: board, localTypes, problems } = boardFromNetlist(joined, context);
    const alone = boardFromNetlist(net.draft, context).value;
    if (board === undefined || alone === undefined) throw new Error(JSON.stringify(problems));
    expect(localTypes).toEqual([]);
    expect(board.parts.map(({ ref, type, pins }) => [ref, type, pins])).toEqual(
      alone.parts.map(({ ref, type, pins }) => [ref, type, pins]),
    );
    expect([board.outline.widthMillimetre, board.outline.heightMillimetre]).toEqual(outline);
    expect(board.parts).toHaveLength(parts);
    for (const part of board.parts) {
      const pads = Object.entries(part.pads ?? {});
      expect(
        Object.keys(part.pins).filter((pin) => part.pads?.[pin] === undefined),
        part.ref,
      ).toEqual([]);
      // Connectors may stand over the edge; nothing is further out than a plug.
      for (const [pin, [x, y]] of pads)
        expect(x > -5 && y > -5 && x < outline[0] + 5 && y < outline[1] + 5, `${part.ref}.${pin}`).toBe(true);
    }
    for (const [ref, rotation] of Object.entries(turned))
      expect(board.parts.find((part) => part.ref === ref)?.rotationDegree).toBe(rotation);
    expect(parseBoardFile(JSON.stringify(board), library)).toEqual({ value: board, problems: [] });
  });

  test("are summed up alike", (net, pcb) => {
    const summaries = [[net], [net, pcb]].map((some) => {
      const joined = joinDrafts(some).value;
      if (joined === undefined) throw new Error("nothing was joined");
      const made = boardFromNetlist(joined, { library, recognition, fileName: net.file });
      if (made.value === undefined) throw new Error(JSON.stringify(made.problems));
      return summariseImport(made.value, library, made.localTypes);
    });
    expect(summaries[0]).toEqual(summaries[1]);
    expect(summaries[0]?.recognised).toBe(summaries[0]?.chips);
    expect(summaries[0]?.rails).toEqual({ GND: "GND", "+5V": "VCC" });
  });
});
