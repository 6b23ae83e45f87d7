import { describe, expect, it } from "vitest";
import { loadBoard, loadPartTypes } from "../../../../test/boards/support.js";
import { readInstalledFailureData } from "../../../../test/support/failure-data.js";
import { tinyBoard } from "../../../../test/support/tiny-board.js";
import { type BoardPriorOptions, type BoardPriors, boardPriors } from "./board-priors.js";
import { oddsFromRates } from "./expected-faults.js";
import { fieldGroup } from "./field-factor.js";

const data = readInstalledFailureData();
const types = loadPartTypes();
const findType = (name: string) => types.get(name);
const board = loadBoard("pellow-16");
const priors = (options: BoardPriorOptions = {}) =>
  boardPriors(data, board, findType, { presentYear: 2025, ...options });
const railOf = (volt: number) => board.rails.find((rail) => rail.nominalVolt === volt)?.net ?? "none";
const entries = ({ parts, structures }: BoardPriors) => [...parts, ...structures];
const totalOf = (all: BoardPriors, family: string) =>
  entries(all)
    .filter((row) => row.family === family)
    .reduce((sum, row) => sum + row.total, 0);

describe("the priors of a board", () => {
  it("cover every part that can fail, and its contacts and tracks", () => {
    const all = priors();
    const able = board.parts.filter((part) => types.get(part.type)?.family !== "none");
    expect(all.parts.map((row) => row.ref)).toEqual(able.map((part) => part.ref));
    for (const row of entries(all)) expect(row.total, row.ref).toBeGreaterThan(0);
    const joints = all.structures.filter((row) => row.structure === "track");
    expect(joints).toHaveLength(able.reduce((sum, part) => sum + Object.keys(part.pins).length, 0));
    const socketed = new Set(board.parts.filter((part) => part.socketed === true).map((part) => part.ref));
    expect(new Set(all.structures.filter((row) => row.structure === "socket").map((row) => row.ref))).toEqual(
      socketed,
    );
  });

  it("come out with the shares that model and histories together give the groups", () => {
    const all = priors();
    const sections = new Map(board.parts.map((part) => [part.ref, part.section]));
    const total = entries(all).reduce((sum, row) => sum + row.total, 0);
    for (const { group, share } of all.field.factors) {
      const mine = entries(all)
        .filter(
          (row) => fieldGroup(data["field-factors"], row.family, sections.get(row.ref) ?? "other") === group,
        )
        .reduce((sum, row) => sum + row.total, 0);
      expect(mine / total, group).toBeCloseTo(share, 9);
    }
  });

  it("rate the memory above the processor, as the histories do", () => {
    expect(totalOf(priors(), "dram")).toBeGreaterThan(totalOf(priors(), "microprocessor"));
  });

  it("take the age from the board's year, else the assumed one", () => {
    expect(priors().ageYears).toBe(44);
    expect(boardPriors(data, board, findType).ageYears).toBe(40);
    expect(
      boardPriors(data, board, findType, { overrides: { parameters: { assumedAgeYears: 12 } } }).ageYears,
    ).toBe(12);
  });

  it("rise with events and with the bench's own jobs", () => {
    const plain = priors();
    const miswired = priors({ events: [{ kind: "miswired-supply", rails: [railOf(12)] }] });
    expect(totalOf(miswired, "dram") / totalOf(plain, "dram")).toBeCloseTo(12, 6);
    expect(totalOf(miswired, "microprocessor")).toBeCloseTo(totalOf(plain, "microprocessor"), 12);
    const history = new Map([
      ["eprom", { family: "eprom", expected: 1, found: 6, value: 2, deviation: 1 } as const],
    ] as const);
    const taught = priors({ history });
    expect(totalOf(taught, "eprom") / totalOf(plain, "eprom")).toBeCloseTo(2, 9);
    expect(taught.parts.find((row) => row.family === "eprom")?.historyFactor.why).toContain("6 found");
  });

  it("put the faults of own work at and beside the part", () => {
    const { touches } = priors({ events: [{ kind: "soldering", parts: ["U17"], failedSince: true }] });
    const at = touches.filter((row) => row.ref === "U17").reduce((sum, row) => sum + row.probability, 0);
    expect(at).toBeGreaterThan(0.6);
    const beside = touches.filter((row) => row.place === "next-to");
    expect(beside.length).toBeGreaterThan(0);
    expect(beside.every((row) => row.probability < at)).toBe(true);
  });

  it("let the histories be switched off by their weight, and a single part be set", () => {
    const parameters = { fieldPseudoCount: 1e9, familyPseudoCount: 1e9 };
    for (const row of priors({ overrides: { parameters } }).parts)
      expect(row.fieldFactor.value).toBeCloseTo(1, 3);
    const { parts } = priors({ overrides: { parts: { U17: { field: 3 } } } });
    expect(parts.find((row) => row.ref === "U17")?.fieldFactor).toMatchObject({ value: 3, overridden: true });
    expect(parts.find((row) => row.ref === "U18")?.fieldFactor.overridden).toBe(false);
  });

  it("turn into odds for as many faults as the histories have", () => {
    const all = priors();
    expect(all.expectedFaults).toBeCloseTo(83 / 52, 12);
    const odds = oddsFromRates(
      entries(all).map((row) => row.total),
      all.expectedFaults,
    );
    const mean = odds.reduce((sum, value) => sum + Math.log1p(value), 0);
    expect(mean / (1 - Math.exp(-mean))).toBeCloseTo(all.expectedFaults, 9);
    expect(priors({ expectedFaults: 1.2 }).expectedFaults).toBe(1.2);
  });

  it("work on a board of two parts", () => {
    const tiny = tinyBoard("U1:74LS00 1=A 2=B 3=Y 7=GND 14=+5V; C1:capacitor-ceramic 1=+5V 2=GND");
    const all = boardPriors(data, tiny, findType);
    expect(all.parts.map((row) => row.ref)).toEqual(["U1", "C1"]);
    expect(all.structures.filter((row) => row.structure === "bridge").map((row) => row.pins)).toEqual([
      ["1", "2"],
      ["2", "3"],
    ]);
    expect(all.parts[1]?.handbook.inputs["voltageStress"]).toBe(0.1);
  });

  it("reject a part of unknown type", () => {
    expect(() => boardPriors(data, tinyBoard("U1:flux-capacitor 1=A"), findType)).toThrow(
      /U1 has the unknown type/,
    );
  });
});
