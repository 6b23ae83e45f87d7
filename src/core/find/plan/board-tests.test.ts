import { describe, expect, it } from "vitest";
import { caseOf, entry, preparedBoard } from "../../../../test/support/prepared-board.js";
import type { Instrument } from "../case/case.js";
import { takenSince } from "../case/since.js";
import { neighboursJoined } from "../evidence/looks-passive.js";
import { solveCase } from "../solve.js";
import { addRails, addSweeps } from "./board-tests.js";
import { liveHypotheses } from "./problem.js";
import { TestList, type TestProposal } from "./test-list.js";

const merrow = preparedBoard("merrow");
const log = [entry.gate, entry.symptom("random-characters")];
const solved = solveCase(merrow, caseOf(log), { candidates: 4, settle: 0 });
const live = liveHypotheses(solved.space, solved.singles, solved.pairs, solved.beliefs, merrow.pairSettler, {
  limit: 1200,
  neglected: 0.005,
});

function offered(
  add: (tests: TestList, has: (instrument: Instrument) => boolean) => void,
  instruments: readonly Instrument[],
  taken: ReadonlySet<string> = new Set(),
): TestProposal[] {
  const tests = new TestList(solved.space, merrow.data.costs, taken);
  add(tests, (instrument) => instruments.includes(instrument));
  return tests.list;
}

describe("neighbouring pins", () => {
  const sweeps = (instruments: readonly Instrument[], taken?: ReadonlySet<string>): TestProposal[] =>
    offered((tests, has) => addSweeps(tests, live, has, true), instruments, taken).filter(
      ({ kind }) => kind === "neighbours",
    );

  it("are gone through at few parts, with a meter and without power", () => {
    const found = sweeps(["multimeter"]);
    expect(found.length).toBeGreaterThan(2);
    expect(found.length).toBeLessThanOrEqual(6);
    for (const { powered, at, id } of found) {
      expect(powered).toBe(false);
      expect(at).toBe(`${id.slice("neighbours:".length)} neighbours`);
    }
    expect(sweeps(["logic-probe"])).toEqual([]);
  });

  it("take longer the more pins there are", () => {
    const { neighboursPerPin, switchOff, tests } = merrow.data.costs;
    for (const { at, minutes } of sweeps(["multimeter"])) {
      const part =
        merrow.circuit.wiring.parts[merrow.circuit.wiring.partIndex.get(at.split(" ")[0] ?? "") ?? -1];
      expect(minutes).toBeCloseTo(
        tests.neighbours + switchOff + neighboursPerPin * (part?.pins.length ?? 0),
        9,
      );
    }
  });

  it("each ring for something that none before it rings for", () => {
    const heard = new Set<string>();
    for (const { at } of sweeps(["multimeter"])) {
      const joins = neighboursJoined(
        solved.space,
        merrow.circuit.wiring.partIndex.get(at.split(" ")[0] ?? "") ?? -1,
      );
      const own = live.flatMap(({ faults }) => faults.filter(joins)).map(({ id }) => id);
      expect(
        own.some((id) => !heard.has(id)),
        at,
      ).toBe(true);
      for (const id of own) heard.add(id);
    }
  });

  it("are not asked for again once they were gone through", () => {
    const [first] = sweeps(["multimeter"]);
    const logged = caseOf([
      { kind: "reading", at: first?.at, with: "multimeter", shows: "clear", when: "unpowered" },
    ]);
    const taken = takenSince(merrow.circuit, logged);
    expect([...taken]).toEqual([first?.id]);
    expect(sweeps(["multimeter"], taken).some(({ id }) => id === first?.id)).toBe(false);
  });
});

describe("rails", () => {
  const kinds = (instruments: readonly Instrument[], taken?: ReadonlySet<string>): Set<string> =>
    new Set(
      offered((tests, has) => addRails(tests, live, has), instruments, taken)
        .filter(({ at }) => at.endsWith(":+5V"))
        .map(({ kind }) => kind),
    );

  it("are read with whatever can read them", () => {
    expect(kinds(["multimeter"])).toEqual(new Set(["rail", "resistance"]));
    expect(kinds(["logic-probe"])).toEqual(new Set(["logic-probe"]));
    expect(kinds(["oscilloscope"])).toEqual(new Set(["oscilloscope", "ripple"]));
  });

  it("are still to be measured after a probe has seen them", () => {
    const taken = takenSince(merrow.circuit, caseOf([entry.probe("rail:+5V", "high")]));
    expect([...taken]).toEqual(["logic-probe:+5V"]);
    expect(kinds(["multimeter", "logic-probe"], taken)).toEqual(new Set(["rail", "resistance"]));
  });
});
