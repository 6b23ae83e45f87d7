import { describe, expect, it } from "vitest";
import { renderBoard } from "../../src/app/board-text.js";
import { checkBoard, unexplainedFindings } from "../../src/core/board/check/check-board.js";
import { parseBoardFile } from "../../src/core/board/read/board-file.js";
import { buildCircuit } from "../../src/core/find/settle/build.js";
import { readRepositoryFile } from "../support/source-files.js";
import { momentsOf } from "./moments.js";
import {
  doublyDrivenNets,
  integratedCircuits,
  loadBoard,
  loadPartTypes,
  lonelyNets,
  memoryMapFlaws,
  misplacedParts,
  missingDecouplers,
  openInputs,
  supplyFlaws,
} from "./support.js";

const types = loadPartTypes();
const board = loadBoard("pellow-16");
const text = readRepositoryFile("data/boards/pellow-16.json");
const dram = ["U17", "U18", "U19", "U20", "U21", "U22", "U23", "U24"];
const momentAt = momentsOf(board, types);
const bits = [0, 1, 2, 3, 4, 5, 6, 7];
/** Everything that steers who drives what: decoded selects, enables, write strobes, and the owner of the memory. */
const steadyInPhase = [
  ..."/RAMSEL /EXP4 /EXP8 /EXPC /IOSEL /ROM0 /ROM1 /ROMOE /RAMRD /BUFEN WRITE".split(" "),
  ..."/RAS /CAS /WE PHI0 RAMLATCH /RDKEY /RDSTAT /WRKEY /WRCTL".split(" "),
];
const busNets = board.parts
  .flatMap((part) => Object.values(part.pins))
  .filter((net) => /^(D|MD|BD|VD|AB|XA|MA)\d+$/.test(net));

describe("the board Pellow 16", () => {
  it("is read without a problem and stands in canonical form", () => {
    expect(
      parseBoardFile(text, { get: (type) => types.get(type), names: () => types.keys() }).problems,
    ).toEqual([]);
    expect(renderBoard(board)).toBe(text);
  });

  it("has at least 45 integrated circuits, processor and EPROMs in sockets, dynamic RAM soldered", () => {
    expect(integratedCircuits(board, types).length).toBeGreaterThanOrEqual(45);
    const socketed = board.parts.filter((part) => part.socketed === true).map((part) => part.ref);
    expect(socketed).toEqual(expect.arrayContaining(["U5", "U15", "U16"]));
    expect(socketed.filter((ref) => dram.includes(ref))).toEqual([]);
  });

  it("is wired soundly", () => {
    expect(doublyDrivenNets(board, types)).toEqual([]);
    // The minus of the bridge rectifier is the common.
    expect(supplyFlaws(board, types).filter((flaw) => !flaw.startsWith("BR1.4 "))).toEqual([]);
    expect(openInputs(board, types, [])).toEqual([]);
    expect(lonelyNets(board, [])).toEqual([]);
    expect(unexplainedFindings(checkBoard(board, types))).toEqual([]);
  });

  it("has every part in its place and a capacitor at every supply pin", () => {
    expect(misplacedParts(board)).toEqual([]);
    expect(missingDecouplers(board, types, 20)).toEqual([]);
  });

  it("has a memory map without overlap, each bit of it in one chip", () => {
    const held = { ...board, memory: board.memory.filter((region) => region.kind !== "io") };
    expect(memoryMapFlaws(held, 8)).toEqual([]);
    expect(memoryMapFlaws({ ...board, memory: board.memory.map((r) => ({ ...r, chips: [] })) }, 0)).toEqual(
      [],
    );
    for (const region of board.memory.filter((r) => r.kind === "ram" || r.kind === "screen"))
      expect(region.chips.map((chip) => chip.part)).toEqual(dram);
  });

  it("settles to a healthy state that needs no excuse", () => {
    expect(buildCircuit(board, types).unexplained).toEqual([]);
  });
});

/** Who drives D, BD and MD in each phase; U5 is the processor. */
const owners: Readonly<
  Record<string, readonly [data: string | undefined, buffered: string | undefined, memory: boolean]>
> = {
  "start-fetch": ["U15", undefined, false],
  "language-read": ["U16", undefined, false],
  "workspace-read": ["U31", undefined, true],
  "workspace-write": ["U5", undefined, false],
  "screen-read": ["U31", undefined, true],
  "screen-write": ["U5", undefined, false],
  "keys-read": ["U8", "U49", false],
  "status-read": ["U8", "U50", false],
  "keys-write": ["U5", "U8", false],
  "control-write": ["U5", "U8", false],
  "video-fetch": [undefined, undefined, true],
  border: [undefined, undefined, false],
  sync: [undefined, undefined, false],
};

describe.each(board.phases.map((phase) => phase.id))("in the phase %s", (id) => {
  const moment = momentAt({ phase: id });
  const [data, buffered, memory] = owners[id] ?? [undefined, undefined, false];
  const refs = (net: string): string[] => moment.drivers(net).map((driver) => driver.ref);

  it("every bus has the one owner it should have", () => {
    expect(owners).toHaveProperty(id);
    for (const bit of bits) {
      expect(refs(`D${bit}`)).toEqual(data === undefined ? [] : [data]);
      expect(refs(`BD${bit}`)).toEqual(buffered === undefined ? [] : [buffered]);
      expect(refs(`MD${bit}`)).toEqual(memory ? [dram[bit]] : []);
    }
  });

  it("no bus net is fought over or driven by an enable that is not definite", () => {
    for (const net of busNets) {
      expect(moment.drivers(net).length).toBeLessThanOrEqual(1);
      expect(moment.drivers(net).every((driver) => driver.certain)).toBe(true);
    }
  });

  it("selects, strobes and enables are definite; the column select changes within each access", () => {
    for (const net of steadyInPhase) expect(moment.level(net), net).toBeDefined();
    const atRest = id === "border" || id === "sync";
    expect(moment.level("COL")).toBe(atRest ? false : undefined);
  });

  it("the dynamic RAM is written only when the processor writes RAM", () => {
    const writes = moment.level("/CAS") === false && moment.level("/WE") === false;
    expect(writes).toBe(id === "workspace-write" || id === "screen-write");
  });
});
