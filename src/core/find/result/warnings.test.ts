import { describe, expect, it } from "vitest";
import {
  caseOf,
  entry,
  preparedBoard,
  preparedTinyBoard,
  type TypedEntry,
} from "../../../../test/support/prepared-board.js";
import type { PreparedBoard } from "../prepare.js";
import { solveCase } from "../solve.js";
import { caseWarnings } from "./warnings.js";

const pellow = preparedBoard("pellow-16");
const warnings = (prepared: PreparedBoard, ...entries: TypedEntry[]): string[] => {
  const logged = caseOf(entries);
  return caseWarnings(prepared, solveCase(prepared, logged, { candidates: 2, settle: 0 }).timeline, logged);
};
const memory = /^4116 memory that ran without its negative rail .* may be damaged/;

describe("warnings", () => {
  it("are none for a quiet log on a board that the model explains", () => {
    expect(warnings(pellow, entry.gate, entry.symptom("no-beep"))).toEqual([]);
  });

  it("say when powered readings stand in the log and the gate was never ticked", () => {
    expect(warnings(pellow, entry.probe("/RAS", "pulsing"))).toMatchObject([/supply gate counts as passed/]);
  });

  it.each([
    ["at the chips", entry.volts("U17.1", -0.2)],
    ["on the rail", entry.volts("rail:-5", -0.2)],
    ["at the regulator", entry.volts("rail:-5 OUT", -0.2)],
    ["in words", { kind: "reading", at: "rail:-5", with: "multimeter", shows: "absent" }],
  ] as const)("say that three-rail memory suffers without its negative rail, missing %s", (_, reading) => {
    expect(warnings(pellow, entry.gate, reading)).toMatchObject([memory]);
  });

  it("do not say so while that rail is there, or when another is missing", () => {
    expect(warnings(pellow, entry.gate, entry.volts("rail:-5", -4.9), entry.volts("rail:+12", 0))).toEqual(
      [],
    );
    expect(warnings(preparedBoard("merrow"), entry.gate, entry.volts("rail:-12V", 0))).toEqual([]);
  });

  it("do not count a reading that was struck out", () => {
    const struck: TypedEntry = { kind: "strike", entry: 2 };
    expect(warnings(pellow, entry.gate, entry.volts("rail:-5", 0), struck)).toEqual([]);
  });

  it("say when the healthy board itself is not explained", () => {
    // Two outputs on one line.
    const fighting = preparedTinyBoard(
      "J1:connector 1=A 2=B; U1:74LS04 1=A 2=Y 7=GND 14=+5V; U2:74LS04 1=B 2=Y 3=Y 4=Z 7=GND 14=+5V",
      { steady: { A: "low", B: "high" } },
    );
    expect(warnings(fighting)).toMatchObject([/leaves \d+ net values unexplained/]);
  });
});
