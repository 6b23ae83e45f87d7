import { describe, expect, it } from "vitest";
import { caseOf, plainSpace, preparedBoard } from "../../../../test/support/prepared-board.js";
import type { Fault } from "../faults/fault.js";
import type { RowView } from "../reason/space.js";
import { charactersEvidence, deadLinesEvidence } from "./bind-symptom.js";
import type { Evidence } from "./evidence.js";
import { readTimeline } from "./timeline.js";

const space = plainSpace(preparedBoard("pellow-16"));
const { characterBitMissed: missed, keyLineMissed } = space.model.errors;

function characters(right: string, wrong: string): Evidence {
  const [entry] = caseOf([{ kind: "characters", right, wrong }]).entries;
  if (entry?.kind !== "characters") throw new Error("no characters");
  const found = charactersEvidence(space, 1, entry);
  if ("problem" in found) throw new Error(found.problem.message);
  return found.evidence;
}

function fault(id: string): { fault: Fault; view: RowView } {
  const found = space.faults.find((one) => one.id === id);
  if (found === undefined) throw new RangeError(`no fault ${id}`);
  return { fault: found, view: space.views[space.table.firstRow[found.effect] ?? 0] ?? space.health };
}

describe("wrong characters", () => {
  // A is 01000001, I is 01001001, and U32.9 puts out bit 3 of the picture byte.
  const high = fault("U32:output-stuck-high:9");
  const low = fault("U32:output-stuck-low:9");

  it("say which bits changed, and how", () => {
    expect(characters("A", "I").label).toBe("I for A: bit 3 high for low");
    expect(characters("0x41", "0x09").label).toBe("0x09 for 0x41: bit 3 high for low, bit 6 low for high");
    expect(characters("A", "A").label).toBe("A for A: no bit differs");
  });

  it("point at the line that is held, in the right direction", () => {
    const { likelihoodOf } = characters("A", "I");
    const ofHigh = likelihoodOf(high.view, [high.fault]);
    expect(ofHigh).toBeCloseTo((1 - missed) ** 8, 12);
    expect(likelihoodOf(space.health, [])).toBeCloseTo((1 - missed) ** 7 * missed, 12);
    expect(likelihoodOf(low.view, [low.fault])).toBeCloseTo((1 - missed) ** 7 * missed, 12);
    // The other way round the line held low fits.
    expect(characters("I", "A").likelihoodOf(low.view, [low.fault])).toBeCloseTo(ofHigh, 12);
  });

  it("speak for the lines whose bits came out right", () => {
    const other = fault("U32:output-stuck-high:6");
    expect(characters("A", "I").likelihoodOf(other.view, [other.fault])).toBeLessThan(
      characters("A", "I").likelihoodOf(high.view, [high.fault]) / 50,
    );
  });

  it.each(["", "AB", "0x141", "0xZZ", "€€"])("refuse '%s', which is no character", (text) => {
    const entry = { kind: "characters", right: text, wrong: "A" } as const;
    expect(charactersEvidence(space, 1, entry)).toMatchObject({ problem: { code: "bad-character" } });
  });

  it("need a board that says which lines carry the character", () => {
    const { board } = space.circuit.wiring;
    const { picture: _, ...chain } = board.chain;
    const blind = {
      ...space,
      circuit: { ...space.circuit, wiring: { ...space.circuit.wiring, board: { ...board, chain } } },
    };
    const entry = { kind: "characters", right: "A", wrong: "I" } as const;
    expect(charactersEvidence(blind, 1, entry)).toMatchObject({ problem: { code: "symptom-not-on-board" } });
  });
});

describe("dead key lines", () => {
  const lines = (...dead: string[]): Evidence[] => {
    const found = deadLinesEvidence(space, 1, dead, "unknown");
    if ("problem" in found) throw new Error(found.problem.message);
    return found.evidence;
  };
  const total = (evidence: readonly Evidence[], { fault: one, view }: ReturnType<typeof fault>): number =>
    evidence.reduce((product, item) => product * item.likelihoodOf(view, [one]), 1);

  it("are one observation for each line of the matrix", () => {
    const evidence = lines("KC2");
    expect(evidence).toHaveLength(16);
    expect(evidence.filter(({ label }) => label.endsWith("dead")).map(({ label }) => label)).toEqual([
      "key line KC2 dead",
    ]);
  });

  it("fit the contact of that line, of keyboard or plug, and no other", () => {
    const own = total(lines("KC2"), fault("KB1:contact-open:3"));
    expect(own).toBeCloseTo((1 - keyLineMissed) ** 16, 12);
    expect(total(lines("KC2"), fault("J6:contact-open:3"))).toBeCloseTo(own, 12);
    expect(total(lines("KC2"), fault("KB1:contact-open:4"))).toBeCloseTo(
      (1 - keyLineMissed) ** 14 * keyLineMissed ** 2,
      12,
    );
  });

  it("must be lines of the matrix", () => {
    expect(deadLinesEvidence(space, 1, ["KC2", "D0"], "unknown")).toMatchObject({
      problem: { code: "unknown-line", message: "'D0' is no line of the key matrix" },
    });
  });
});

describe("dead keys", () => {
  const outcomeOf = (lines: readonly string[]): string => {
    const [epoch] = readTimeline(space, caseOf([{ kind: "symptom", what: "some-keys-dead", lines }])).epochs;
    return epoch?.[0]?.label ?? "";
  };

  it("are no keys at all where all columns or all rows are named", () => {
    const columns = Array.from({ length: 8 }, (_, i) => `KC${i}`);
    const rows = Array.from({ length: 8 }, (_, i) => `KR${i}`);
    expect(outcomeOf(columns)).toBe("No key does anything.");
    expect(outcomeOf(rows)).toBe("No key does anything.");
    expect(outcomeOf(columns.slice(1))).toBe("Some keys are dead, others work.");
  });
});
