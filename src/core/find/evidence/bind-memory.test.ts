import { describe, expect, it } from "vitest";
import {
  caseOf,
  plainSpace,
  preparedBoard,
  type TypedEntry,
} from "../../../../test/support/prepared-board.js";
import type { CaseEntry } from "../case/case.js";
import { findFaults } from "../find.js";
import type { FindResult } from "../result/result.js";
import { memoryTestEvidence } from "./bind-memory.js";
import { memorySideOf, selfTestLook } from "./looks-memory.js";

const merrow = preparedBoard("merrow");
const pellow = preparedBoard("pellow-16");
const space = plainSpace(merrow);
const { parts } = space.circuit.wiring;

type MemoryTest = Extract<CaseEntry, { kind: "memory-test" }>;

const garbage = { kind: "symptom", what: "random-characters" } as const;
const gate = { kind: "gate", id: "supply", state: "passed" } as const;

function found(...entries: readonly TypedEntry[]): FindResult {
  return findFaults(merrow, caseOf([gate, garbage, ...entries]), { steps: 0 });
}

function probabilityOf(result: FindResult, part: string): number {
  return result.suspects.find((suspect) => suspect.part === part)?.probability ?? 0;
}

function selfTest(verdict: MemoryTest["verdict"], ...named: readonly string[]): MemoryTest {
  const causes = named.length === 0 ? {} : { causes: [{ share: 1, parts: named.map((part) => ({ part })) }] };
  return { kind: "memory-test", by: "self-test", verdict, ...causes };
}

describe("the memory side of a board", () => {
  it("holds the memory chips, what serves them alone, and the ROM in whose place a self-test goes", () => {
    const side = memorySideOf(space);
    const names = (list: Iterable<number>): string[] => [...list].map((part) => parts[part]?.part.ref ?? "?");
    expect(names(side?.chips ?? [])).toEqual(
      expect.arrayContaining(["U3", "U4", "U5", "U6", "U7", "U8", "U9", "U10", "U33", "U34"]),
    );
    // The two LS157 put row and column addresses on lines that end at the memory chips.
    expect(names(side?.servers ?? [])).toEqual(expect.arrayContaining(["U11", "U12"]));
    expect(names(side?.servers ?? [])).not.toContain("U1");
    expect(names(side?.startRom ?? [])).toEqual(["U2"]);
  });

  it("is told for every fault: the chip, the lines, silence, or good", () => {
    const look = selfTestLook(space);
    const says = (id: string): string | undefined => {
      const fault = space.faults.find((one) => one.id === id);
      if (fault === undefined) throw new RangeError(`no fault ${id}`);
      const view = space.views[space.table.firstRow[fault.effect] ?? 0] ?? space.health;
      return look?.outcomes[look.codeOf(view, [fault])];
    };
    expect(says("U5:data-bit-lost")).toBe("U5");
    expect(says("U11:output-stuck-low:4")).toBe("lines");
    expect(says("U5:input-drags:5")).toBe("lines");
    // Held from outside the memory, or with the supply gone, the processor itself does not run.
    expect(says("U11:input-drags:2")).toBe("silent");
    expect(says("U5:shorted:+5V")).toBe("silent");
    expect(says("U1:no-output")).toBe("silent");
    // The ROM is out of the board while the self-test is in its place.
    expect(says("U2:output-stuck-low:9")).toBe("good");
    expect(look?.outcomes[look.codeOf(space.health, [])]).toBe("good");
  });

  it("has likelihoods that sum to 1 for each thing that may be so", () => {
    const look = selfTestLook(plainSpace(pellow));
    const count = look?.outcomes.length ?? 0;
    for (let code = 0; code < (look?.codeCount ?? 0); code += 1) {
      const row = [...(look?.likelihood.slice(code * count, (code + 1) * count) ?? [])];
      expect(row.reduce((sum, value) => sum + value, 0)).toBeCloseTo(1, 12);
    }
  });
});

describe("a memory test in the log", () => {
  it("makes the chip that a self-test names the leading suspect", () => {
    const result = found(selfTest("causes", "U5"));
    expect(result.problems).toEqual([]);
    expect(result.suspects[0]?.part).toBe("U5");
    expect(probabilityOf(result, "U5")).toBeGreaterThan(probabilityOf(found(), "U5") * 10);
  });

  it("clears the memory when it finds it good, and speaks for what it needs when nothing is heard", () => {
    const before = found();
    for (const chip of ["U3", "U10", "U33"])
      expect(probabilityOf(found(selfTest("good")), chip)).toBeLessThan(probabilityOf(before, chip) / 2);
    expect(found(selfTest("silent")).suspects[0]?.part).toBe("U1");
    expect(probabilityOf(found(selfTest("lines")), "U11")).toBeGreaterThan(probabilityOf(before, "U11") * 3);
  });

  it("is believed less from a program that needs a working machine", () => {
    const own = found(selfTest("good"));
    const program = found({ ...selfTest("good"), by: "test-program" });
    expect(probabilityOf(program, "U3")).toBeGreaterThan(probabilityOf(own, "U3"));
  });

  it("weighs several causes by their shares, and a named mode above others of the part", () => {
    const causes: MemoryTest["causes"] = [
      { share: 0.8, parts: [{ part: "U5", mode: "data-bit-lost" }] },
      {
        share: 0.2,
        parts: [
          { part: "U11", weight: 3 },
          { part: "U12", weight: 1 },
        ],
      },
    ];
    const result = memoryTestEvidence(space, 1, { ...selfTest("causes"), causes });
    if ("problem" in result) throw new Error(result.problem.message);
    const likelihood = (id: string): number => {
      const fault = space.faults.find((one) => one.id === id);
      if (fault === undefined) throw new RangeError(`no fault ${id}`);
      return result.evidence.likelihoodOf(space.health, [fault]);
    };
    const right = space.model.errors.selfTestNames;
    expect(likelihood("U5:address-fault")).toBeCloseTo(right * 0.5, 12);
    expect(likelihood("U5:data-bit-lost")).toBeCloseTo(right, 12);
    expect(likelihood("U11:output-stuck-low:4")).toBeCloseTo(right * 0.25, 12);
    expect(likelihood("U12:output-stuck-low:4")).toBeCloseTo((right * 0.25) / 3, 12);
  });

  it.each([
    [selfTest("causes", "U99"), "U99"],
    [selfTest("causes"), "names at least one part"],
  ])("is refused with a sentence: %j", (entry, words) => {
    const { problems, suspects } = found(entry);
    expect(problems).toHaveLength(1);
    expect(problems[0]?.message).toContain(words);
    expect(suspects).toEqual(found().suspects);
  });
});
