import { describe, expect, it } from "vitest";
import { readPartLibrary } from "../../../../test/support/part-types.js";
import { tinyBoard } from "../../../../test/support/tiny-board.js";
import { renderProblem } from "../../base/problem.js";
import type { Board } from "../board.js";
import { parseBoardFile } from "./board-file.js";

const library = readPartLibrary();
const sound = tinyBoard(
  "U1:2114 5=A0 18=+5V 9=GND 8=/CS 14=D0; R1:resistor 1=+5V 2=/CS; J1:connector 1=A0 2=D0 3=GND 4=+5V",
);
const withRam: Board = {
  ...sound,
  memory: [
    {
      id: "ram",
      title: "RAM",
      kind: "ram",
      from: "0000",
      to: "03FF",
      space: "memory",
      chips: [{ part: "U1", bits: [0, 1, 2, 3] }],
    },
  ],
};

const write = (board: unknown): string => JSON.stringify(board, null, 2);
const lineOf = (text: string, part: string): number => text.slice(0, text.indexOf(part)).split("\n").length;

/** Problems of the sound board after a change of its text, and the line the change is in. */
function afterChange(from: string, to: string, board: Board = withRam) {
  const text = write(board);
  const { value, problems } = parseBoardFile(text.replace(from, to), library, { file: "b.json" });
  return { value, problems, line: lineOf(text, from) };
}

describe("the board file reader", () => {
  it("reads a sound board as it is", () => {
    expect(parseBoardFile(write(withRam), library)).toEqual({ value: withRam, problems: [] });
  });

  it.each([
    ["a field misspelt", '"outline":', '"outlin":', "field-unknown", "outlin", "Did you mean 'outline'?"],
    [
      "a field misspelt deeper down",
      '"socketed"',
      '"sockeled"',
      "field-unknown",
      "parts[0].sockeled",
      "Did you mean 'socketed'?",
    ],
    [
      "a value off the list",
      '"section": "other"',
      '"section": "vidio"',
      "field-invalid",
      "parts[0].section",
      "Did you mean 'video'?",
    ],
    [
      "a type off the library",
      '"type": "2114"',
      '"type": "2115"',
      "unknown-type",
      "parts[0].type",
      "Did you mean '2114'?",
    ],
    ["a pin the type lacks", '"18": "+5V"', '"19": "+5V"', "unknown-pin", "parts[0].pins.19", undefined],
    [
      "ground that is no net",
      '"ground": "GND"',
      '"ground": "GNP"',
      "unknown-net",
      "ground",
      "Did you mean 'GND'?",
    ],
    [
      "a rail that is no net",
      '"net": "+5V"',
      '"net": "+5 V"',
      "unknown-net",
      "rails[0].net",
      "Did you mean '+5V'?",
    ],
    [
      "a memory chip there is not",
      '"part": "U1"',
      '"part": "U2"',
      "unknown-part",
      "memory[0].chips[0].part",
      "Did you mean 'U1'?",
    ],
    ["a reference given twice", '"ref": "R1"', '"ref": "U1"', "duplicate-ref", "parts[1].ref", undefined],
    [
      "addresses the wrong way round",
      '"to": "03FF"',
      '"to": "-1"',
      "field-invalid",
      "memory[0].to",
      undefined,
    ],
  ])("reports %s with line, field and what is expected", (_, from, to, code, field, hint) => {
    const board: Board = { ...withRam, parts: withRam.parts.map((part) => ({ ...part, socketed: true })) };
    const { value, problems, line } = afterChange(from, to, board);
    expect(value).toBeUndefined();
    const problem = problems.find((candidate) => candidate.where.field === field);
    expect(problem).toMatchObject({ code, severity: "error", where: { file: "b.json", line } });
    expect(problem?.hint).toBe(hint);
    expect(renderProblem(problems[0] ?? { code: "", severity: "error", message: "", where: {} })).toMatch(
      /^b\.json:\d+:\d+ /,
    );
  });

  it("lists the fields there are, and says what kind of value it wanted", () => {
    expect(afterChange('"net": "+5V"', '"nte": "+5V"').problems.map(({ message }) => message)).toEqual([
      "The field 'rails[0].net' is missing; expected text.",
      "There is no field called 'nte' here. Fields here: net, nominalVolt, tolerancePercent, raw.",
    ]);
    expect(afterChange('"rotationDegree": 0', '"rotationDegree": 45').problems[0]?.message).toBe(
      "Expected 0 or 90 or 180 or 270, got 45.",
    );
    expect(afterChange('"nominalVolt": 5', '"nominalVolt": "5"').problems[0]?.message).toBe(
      "Expected a number, got '5'.",
    );
    expect(afterChange('"tolerancePercent": 5', '"tolerancePercent": 0').problems[0]?.message).toBe(
      "Expected a number above 0, got 0.",
    );
  });

  it("checks names in phases, steady levels and what the user sees", () => {
    const board: Board = {
      ...withRam,
      processor: "U9",
      steady: { NOWHERE: "low" },
      phases: [
        { id: "a", title: "A", cycle: "none", levels: { D7: "high" } },
        { id: "a", title: "A again", cycle: "fetch" },
      ],
      parts: withRam.parts.map((part) => ({ ...part, samplesIn: ["b"] })),
      chain: {
        memoryFigure: false,
        lamp: ["LAMP"],
        picture: {
          sync: ["SYNC"],
          border: [],
          content: ["D0"],
          output: ["D0"],
          memory: ["vram"],
          characterBits: [],
          generator: ["U7"],
          needsProgram: false,
        },
      },
    };
    const found = parseBoardFile(write(board), library).problems.map(
      ({ code, where }) => `${code} ${where.field}`,
    );
    expect(found).toEqual([
      "duplicate-id phases[1].id",
      "unknown-phase parts[0].samplesIn[0]",
      "unknown-phase parts[1].samplesIn[0]",
      "unknown-phase parts[2].samplesIn[0]",
      "unknown-part processor",
      "unknown-net steady.NOWHERE",
      "unknown-net phases[0].levels.D7",
      "unknown-part phases[1].cycle",
      "unknown-net chain.picture.sync[0]",
      "unknown-region chain.picture.memory[0]",
      "unknown-part chain.picture.generator[0]",
      "unknown-net chain.lamp[0]",
    ]);
  });

  it("counts address lines and data bits", () => {
    const text = "U1:Z80 6=CLK 11=+5V 29=GND; J1:connector 1=CLK; U2:2114 18=+5V 9=GND";
    const board = tinyBoard(text, {
      processor: "U1",
      phases: [{ id: "f", title: "F", cycle: "fetch", address: "0x" }],
      memory: [
        {
          id: "r",
          title: "R",
          kind: "ram",
          from: "1000",
          to: "0FFF",
          space: "memory",
          chips: [{ part: "U2", bits: [0] }],
        },
      ],
    });
    const { problems } = parseBoardFile(write(board), library);
    expect(problems.map(({ code, message }) => [code, message])).toEqual([
      ["wrong-count", "The processor has 16 address lines; 2 are given."],
      ["wrong-range", "The last address 0FFF is below the first, 1000."],
      ["wrong-range", "The last address 0FFF is below the first, 1000."],
      ["wrong-count", "A 2114 has 4 data pins; 1 bit is given."],
    ]);
    const notOne = {
      ...board,
      processor: "U2",
      phases: [{ id: "f", title: "F", cycle: "fetch" }],
      memory: [],
    };
    expect(parseBoardFile(write(notOne), library).problems.map(({ message }) => message)).toEqual([
      "Part 'U2' is no processor.",
    ]);
  });

  it("keeps a board with warnings only", () => {
    const text = write(withRam).replace('"steady": {}', '"steady": {}, "steady": {}');
    const { value, problems } = parseBoardFile(text, library);
    expect(value).toEqual(withRam);
    expect(problems.map(({ code }) => code)).toEqual(["json-duplicate-name"]);
  });
});
