import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { boardSchema } from "../../src/core/board/board.js";
import { checkBoard } from "../../src/core/board/check/check-board.js";
import { parseBoardFile } from "../../src/core/board/read/board-file.js";
import { parseKicadNetlist } from "../../src/core/board/read/kicad-netlist.js";
import {
  boardFromNetlist,
  type ImportedBoard,
  withLocalTypes,
} from "../../src/core/board/recognise/board-from-netlist.js";
import type { ImportOverrides } from "../../src/core/board/recognise/overrides.js";
import { buildCircuit } from "../../src/core/find/settle/build.js";
import { testDataPath } from "../reference/support/check.js";
import { readPartLibrary } from "../support/part-types.js";
import { readRecognitionData } from "../support/recognition.js";

interface Sample {
  readonly path: string;
  readonly id: string;
  readonly parts: number;
  /** Types of all parts that are no resistors, capacitors or connectors. */
  readonly types: Readonly<Record<string, string>>;
  readonly rails: Readonly<Record<string, number>>;
  /** Jumpers as a person would set them, so that the card works; as drawn they leave it switched off. */
  readonly overrides: ImportOverrides;
  readonly processor?: string;
  /** Memory regions as `kind ref,ref,...`. */
  readonly memory: readonly string[];
}

const dynamicRam = ["U3", "U4", "U7", "U8", "U9", "U10", "U11", "U12"];
const all = (refs: readonly string[], type: string): Record<string, string> =>
  Object.fromEntries(refs.map((ref) => [ref, type]));
const joined = (refs: readonly string[], ...pair: [string, string]): Record<string, [string, string][]> =>
  Object.fromEntries(refs.map((ref): [string, [string, string][]] => [ref, [pair]]));

const samples: readonly Sample[] = [
  {
    path: "boards/easy-z80/Easy_Z80.net",
    id: "easy-z80",
    parts: 58,
    types: {
      ...{
        U1: "Z80",
        U2: "Z80-CTC",
        U3: "Z80-SIO",
        U4: "628512",
        U5: "39F040",
        U6: "MAX693",
        U7: "MAX232",
        U8: "MAX232",
      },
      ...{ U9: "16V8", U10: "74HC670", U11: "74HC670", U12: "74HC74" },
      ...{ D1: "led", SW1: "push-button", RV1: "resistor-variable", JP1: "jumper", JP2: "jumper" },
      ...all(["RN1", "RN2", "RN3", "RN4"], "resistor-network"),
    },
    rails: { VCC: 5, VRAM: 5, VBAT: 5 },
    overrides: {},
    processor: "U1",
    memory: ["ram U4", "rom U5"],
  },
  {
    path: "boards/kz80-tms9918a-dram/KZ80-TMS9918A-DRAM-1bit.net",
    id: "kz80-tms9918a-dram-1bit",
    parts: 45,
    types: {
      ...{
        U1: "9918A",
        U2: "74HCT32",
        U5: "74HCT04",
        U6: "74HCT139",
        Q1: "transistor-npn",
        L1: "coil",
        Y1: "crystal",
      },
      ...all(dynamicRam, "2118"),
      ...all(["J2", "J4", "J5", "JP1", "JP2"], "jumper"),
    },
    rails: { VCC: 5 },
    overrides: {
      jumpers: {
        ...joined(["J2", "J4", "JP2"], "1", "2"),
        ...joined(["JP1"], "2", "3"),
        ...joined(["J5"], "3", "4"),
      },
    },
    memory: [`ram ${dynamicRam.join(",")}`],
  },
  {
    path: "boards/rc6502-cards/RC6502_CPU.net",
    id: "rc6502-cpu",
    parts: 12,
    types: { U1: "65C02", X1: "oscillator-module", ...all(["J2", "J4", "JP1", "JP2"], "jumper") },
    rails: { VCC: 5, "Net-(JP1-Pad2)": 5 },
    overrides: { jumpers: joined(["J2", "J4", "JP1", "JP2"], "1", "2") },
    processor: "U1",
    memory: [],
  },
  {
    path: "boards/rc6502-cards/RC6502_RAM.net",
    id: "rc6502-ram",
    parts: 23,
    types: {
      ...{ U1: "62256", U2: "74LS138", U3: "74LS08", U4: "74LS08", U5: "74LS00" },
      ...all(
        ["JP1", "JP2", "JP3", "JP4", "JP5", "JP6", "JP7", "JP8", "JP9", "JP11", "JP12", "JP13"],
        "jumper",
      ),
    },
    rails: { VCC: 5 },
    overrides: { jumpers: joined(["JP3", "JP4", "JP5", "JP6", "JP7", "JP8", "JP12", "JP13"], "2", "3") },
    memory: ["ram U1"],
  },
];

const library = readPartLibrary();
const recognition = readRecognitionData();

function importSample(path: string, overrides: ImportOverrides): ImportedBoard | undefined {
  const file = testDataPath(path);
  if (file === null) return undefined;
  const { value: draft, problems } = parseKicadNetlist(readFileSync(file, "utf8"), { file });
  // Symbols of several units that each show their supply pins name them twice.
  expect(problems.filter(({ code }) => code !== "duplicate-node")).toEqual([]);
  if (draft === undefined) throw new Error(`${path} was not read`);
  return boardFromNetlist(draft, { library, recognition, fileName: path, overrides });
}

function absent(path: string): string {
  return `the test data ${path} is not here (see BOARDWAKE_TEST_DATA)`;
}

describe.each(samples)("the netlist $id", (sample) => {
  const imported = importSample(sample.path, sample.overrides);
  const test = (
    name: string,
    body: (result: ImportedBoard, board: NonNullable<ImportedBoard["value"]>) => void,
  ): void =>
    it(name, ({ skip }) => {
      if (imported === undefined) return skip(absent(sample.path));
      if (imported.value === undefined) throw new Error(JSON.stringify(imported.problems));
      body(imported, imported.value);
    });

  test("becomes a valid board without a single problem", ({ problems, localTypes }, board) => {
    expect(problems).toEqual([]);
    expect(localTypes).toEqual([]);
    expect(boardSchema.parse(JSON.parse(JSON.stringify(board)))).toEqual(board);
    expect(parseBoardFile(JSON.stringify(board), library)).toEqual({ value: board, problems: [] });
    expect(board.id).toBe(sample.id);
    expect(board.parts).toHaveLength(sample.parts);
  });

  test("has every chip recognised", (_, board) => {
    const passive = /^(resistor|capacitor-\w+|connector)$/;
    const found = board.parts
      .filter((part) => !passive.test(part.type))
      .map(({ ref, type }): [string, string] => [ref, type]);
    // Small oscillators may become one of two types, by what the library has.
    const chips = found.filter(([ref]) => !ref.startsWith("QG"));
    expect(Object.fromEntries(chips)).toEqual(sample.types);
  });

  test("has its ground and rails", (_, board) => {
    expect(board.ground).toBe("GND");
    expect(Object.fromEntries(board.rails.map((rail) => [rail.net, rail.nominalVolt]))).toEqual(sample.rails);
    const findings = checkBoard(board, library);
    expect(
      findings.filter(({ rule }) =>
        ["unknown-type", "wrong-rail", "unconnected-supply", "fighting-outputs"].includes(rule),
      ),
    ).toEqual([]);
  });

  test("gives a reason for every part and supply", ({ guesses }, board) => {
    const subjects = new Set(guesses.map((guess) => guess.subject));
    const expected = [
      ...board.parts.map((part) => part.ref),
      board.ground,
      ...board.rails.map((rail) => rail.net),
    ];
    expect(expected.filter((name) => !subjects.has(name))).toEqual([]);
    expect(guesses.filter((guess) => guess.reason === "" || guess.taken === "")).toEqual([]);
  });

  test("has its processor, phases and memory", (_, board) => {
    expect(board.processor).toBe(sample.processor);
    const cycles = new Set(board.phases.map((phase) => phase.cycle));
    if (sample.processor === undefined)
      expect(board.phases.map((phase) => phase.id)).toEqual(["active", "quiet"]);
    else
      for (const cycle of ["fetch", "memory-read", "memory-write", "idle"] as const)
        expect(cycles).toContain(cycle);
    expect(
      board.memory.map(({ kind, chips }) => `${kind} ${chips.map((chip) => chip.part).join(",")}`).sort(),
    ).toEqual(sample.memory);
    for (const { chips } of board.memory) {
      expect(chips.flatMap((chip) => chip.bits)).toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
    }
  });
});

describe("the imported boards whose logic is all known", () => {
  const withoutProgrammableLogic = samples.filter((sample) => !Object.values(sample.types).includes("16V8"));

  for (const { id, path, overrides } of withoutProgrammableLogic) {
    it(`${id} settles to a healthy state`, ({ skip }) => {
      const imported = importSample(path, overrides);
      if (imported === undefined) return skip(absent(path));
      if (imported.value === undefined) throw new Error(JSON.stringify(imported.problems));
      const { unexplained } = buildCircuit(imported.value, withLocalTypes(library, imported.localTypes));
      expect(unexplained).toEqual([]);
    });
  }
});
