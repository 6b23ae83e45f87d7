import { describe, expect, it } from "vitest";
import { blocksOf, sketched } from "../../../../test/support/sketch.js";
import { buildCircuit } from "../../find/settle/build.js";
import { type Known, knownFromBoard, refineBoard } from "./known.js";

const { board, library } = sketched(blocksOf("Z80", { ram: [{ type: "4164", chips: 8 }] }));
const known = (more: Partial<Known>): Known => ({ formatVersion: 1, parts: [], connections: [], ...more });
const part = (ref: string, of = board) => of.parts.find((one) => one.ref === ref);
const refOf = (type: string): string => board.parts.find((one) => one.type === type)?.ref ?? "";
const pinOn = (ref: string, net: string): string => {
  const number = Object.entries(part(ref)?.pins ?? {}).find(([, own]) => own === net)?.[0];
  return `${ref}.${number}`;
};
const cpu = refOf("Z80");
const mux =
  board.parts.find(({ type, pins }) => type === "74LS157" && Object.values(pins).includes("A0"))?.ref ?? "";

describe("what is known of a sketched board", () => {
  it("confirms what the sketch assumed, and then it is assumed no longer", () => {
    const [from, to] = [pinOn(cpu, "A0"), pinOn(mux, "A0")];
    const refined = refineBoard(board, known({ connections: [{ from, to, shows: "rings" }] }));
    expect(refined.contradictions).toEqual([]);
    expect(part(mux, refined.board)?.source).toBeUndefined();
    expect(part(mux, refined.board)?.assumedPins).not.toContain(to.split(".")[1]);
    expect(part(mux, refined.board)?.pins).toEqual(part(mux)?.pins);
    expect(buildCircuit(refined.board, library).unexplained).toEqual([]);
  });

  it("moves a pin that rings elsewhere", () => {
    const [from, to] = [pinOn(cpu, "A0"), pinOn(mux, "A1")];
    const connections: Known["connections"] = [
      { from, to, shows: "rings" },
      { from, to: pinOn(mux, "A0"), shows: "open" },
    ];
    const refined = refineBoard(board, known({ connections }));
    const [ref = "", number = ""] = to.split(".");
    const [, own = ""] = from.split(".");
    expect(part(ref, refined.board)?.pins[number]).toBe(part(cpu, refined.board)?.pins[own]);
    expect(refined.changes.length).toBeGreaterThan(0);
  });

  it("names what contradicts itself or the board, and leaves it out", () => {
    const [from, to] = [pinOn(cpu, "A0"), pinOn(mux, "A0")];
    const connections: Known["connections"] = [
      { from, to, shows: "rings" },
      { from, to, shows: "open" },
      { from: "U999.1", to, shows: "rings" },
    ];
    const parts = [{ sketched: "U998", ref: "IC1" }];
    expect(refineBoard(board, known({ connections, parts })).contradictions).toHaveLength(3);
  });

  it("gives parts their printed references everywhere", () => {
    const chip = refOf("4164");
    const refined = refineBoard(
      board,
      known({
        parts: [
          { sketched: chip, ref: "IC15" },
          { sketched: cpu, ref: "IC1" },
        ],
      }),
    );
    expect(refined.contradictions).toEqual([]);
    expect(refined.board.processor).toBe("IC1");
    expect(refined.board.memory.flatMap(({ chips }) => chips.map((one) => one.part))).toContain("IC15");
    expect(part(chip, refined.board)).toBeUndefined();
  });

  it("can come from a real board: pins of the parts both have", () => {
    const real = { ...board, parts: board.parts.filter(({ ref }) => ref === cpu || ref === mux) };
    const facts = knownFromBoard(real, board);
    expect(facts.others).toEqual([]);
    const refined = refineBoard(board, facts);
    expect(refined.contradictions).toEqual([]);
    expect(part(mux, refined.board)?.assumedPins?.length ?? 0).toBeLessThan(
      part(mux)?.assumedPins?.length ?? 0,
    );
    const other = {
      ...real,
      parts: real.parts.map((one) => (one.ref === mux ? { ...one, type: "74LS158" } : one)),
    };
    expect(knownFromBoard(other, board).others).toHaveLength(1);
  });
});
