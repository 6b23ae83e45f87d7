import { describe, expect, it } from "vitest";
import { createRandom } from "../base/random.js";
import { createExactSolver } from "./exact-plan.js";
import { deterministicObservable, type Observable } from "./observable.js";
import { likeliestRepair, rankActions } from "./planner.js";
import type { PlannerInput, PlannerOptions, PlannerRepair, PlannerTest } from "./planner-input.js";

const test = (id: string, costMinutes: number, codes: readonly number[], codeCount = 2): PlannerTest => ({
  id,
  costMinutes,
  observable: deterministicObservable(Uint8Array.from(codes), codeCount),
});

const repair = (
  id: string,
  costMinutes: number,
  fixes: readonly number[],
  successProbability = 1,
): PlannerRepair => ({
  id,
  costMinutes,
  fixes: Int32Array.from(fixes),
  successProbability,
});

const giveUp: PlannerRepair = { id: "send away", costMinutes: 200, fixes: "everything" };

const costOf = (input: PlannerInput, id: string, options: PlannerOptions): number =>
  rankActions(input, options).actions.find((action) => action.id === id)?.expectedTotalCost ?? Number.NaN;

/** The two ways of planning, which must agree where both are exact. */
const ways: PlannerOptions[] = [{}, { exactHypotheses: 0, depth: 1 }, { exactHypotheses: 0, depth: 2 }];

describe("rankActions on problems that can be worked out by hand", () => {
  const two = (testMinutes: number): PlannerInput => ({
    weights: Float64Array.of(0.5, 0.5),
    tests: [test("look", testMinutes, [0, 1])],
    repairs: [repair("left", 30, [0]), repair("right", 30, [1])],
  });

  it("measures where that is cheaper and replaces where it is not", () => {
    for (const options of ways) {
      const cheap = rankActions(two(5), options);
      expect(cheap.actions[0]).toMatchObject({ id: "look", expectedTotalCost: 35, informationBits: 1 });
      expect(cheap.actions[0]?.outcomeProbabilities).toEqual([0.5, 0.5]);
      expect(cheap.replaceBeatsMeasuring).toBe(false);
      expect(cheap.costWithoutTests).toBeCloseTo(45, 9);
      const dear = rankActions(two(20), options);
      expect(dear.replaceBeatsMeasuring).toBe(true);
      expect(dear.actions[0]).toMatchObject({ id: "left", kind: "repair", outcomeProbabilities: [0.5, 0.5] });
    }
  });

  it("counts on repairs that may fail, with giving up behind them", () => {
    const input: PlannerInput = {
      weights: Float64Array.of(0.9, 0.1),
      tests: [],
      repairs: [repair("swap", 10, [0], 0.8), giveUp],
    };
    // 10 minutes, then 1 - 0.72 is left for 200 minutes; giving up at once costs all 200.
    for (const options of ways) {
      expect(costOf(input, "swap", options)).toBeCloseTo(10 + 0.28 * 200, 9);
      expect(costOf(input, "send away", options)).toBe(200);
    }
    expect(rankActions(input).method).toBe("look-ahead");
  });

  it("needs both repairs for a pair of bad parts", () => {
    const input: PlannerInput = {
      weights: Float64Array.of(0.6, 0.4),
      tests: [],
      repairs: [repair("first", 10, [0, 1]), repair("second", 10, [1])],
      repairsNeeded: Uint8Array.of(1, 2),
    };
    const ranking = rankActions(input);
    expect(ranking.actions.map((action) => action.id)).toEqual(["first", "second"]);
    expect(ranking.actions[0]?.expectedTotalCost).toBeCloseTo(10 + 0.4 * 10, 9);
    expect(ranking.actions[0]?.outcomeProbabilities[0]).toBeCloseTo(0.6, 12);
    expect(ranking.actions[1]?.outcomeProbabilities[0]).toBe(0);
    expect(likeliestRepair(input)).toEqual({ id: "first", index: 0, probability: 0.6 });
  });

  it("charges a step that changes nothing on top of the best that does", () => {
    const input: PlannerInput = {
      ...two(5),
      tests: [test("look", 5, [0, 1]), test("stare", 1, [1, 1])],
      repairs: [...two(5).repairs, repair("idle", 2, [])],
    };
    for (const options of ways.slice(1)) {
      expect(costOf(input, "stare", options)).toBeCloseTo(36, 9);
      expect(costOf(input, "idle", options)).toBeCloseTo(37, 9);
      expect(rankActions(input, options).actions[0]?.id).toBe("look");
    }
  });

  it("isolates down to the groups asked for", () => {
    const input: PlannerInput = {
      weights: Float64Array.of(0.25, 0.25, 0.25, 0.25),
      tests: [test("halves", 3, [0, 0, 1, 1]), test("odd", 3, [0, 1, 0, 1])],
      repairs: [],
    };
    expect(costOf(input, "halves", { goal: "isolate" })).toBe(6);
    const groups = Int32Array.of(7, 7, 9, 9);
    expect(costOf(input, "halves", { goal: "isolate", groups })).toBe(3);
    expect(costOf(input, "odd", { goal: "isolate", groups })).toBe(6);
  });
});

describe("rankActions and its cuts", () => {
  it("merges what no test tells apart and leaves out the unlikely, and says so", () => {
    const input: PlannerInput = {
      weights: Float64Array.of(0.5, 0.2, 0.2994, 0.0006),
      tests: [test("look", 1, [0, 0, 1, 1])],
      repairs: [repair("a", 10, [0, 1]), repair("b", 10, [2]), repair("c", 10, [3])],
    };
    expect(rankActions(input).hypothesesConsidered).toBe(2);
    expect(rankActions(input).neglectedWeight).toBeCloseTo(0.0006, 12);
    expect(rankActions(input, { neglectedWeight: 0 }).hypothesesConsidered).toBe(3);
  });

  it("ranks the same whatever the order of the hypotheses", () => {
    const input = randomInput(5, 30, 12, 8, 0.05);
    const turn = Int32Array.from({ length: 30 }, (_, h) => (h * 7 + 3) % 30);
    const turned: PlannerInput = {
      weights: Float64Array.from(turn, (h) => input.weights[h] ?? 0),
      tests: input.tests.map((t) => ({
        ...t,
        observable: { ...t.observable, codes: Uint8Array.from(turn, (h) => t.observable.codes[h] ?? 0) },
      })),
      repairs: input.repairs.map((r) =>
        r.fixes === "everything" ? r : { ...r, fixes: Int32Array.from(r.fixes, (h) => turn.indexOf(h)) },
      ),
    };
    const summary = (x: PlannerInput) =>
      rankActions(x).actions.map(
        (a) => `${a.id} ${a.expectedTotalCost.toFixed(6)} ${a.informationBits.toFixed(6)}`,
      );
    expect(summary(turned).sort()).toEqual(summary(input).sort());
  });

  it("names what is wrong with its input", () => {
    const input = randomInput(1, 6, 2, 2, 0.1);
    expect(() => rankActions({ ...input, weights: new Float64Array(6) })).toThrow(/sum to 0/);
    expect(() => rankActions({ ...input, tests: [test("short", 1, [0, 1])] })).toThrow(
      /short has 2 codes for 6/,
    );
    expect(() => rankActions({ ...input, repairs: [repair("lost", 1, [6])] })).toThrow(
      /lost names hypothesis 6/,
    );
    expect(() => rankActions({ ...input, repairs: [{ ...giveUp, successProbability: 0.5 }] })).toThrow(
      /must work surely/,
    );
    expect(() => rankActions(input, { depth: 4 })).toThrow(/depth is 4/);
    expect(() => rankActions({ ...input, repairsNeeded: Uint8Array.of(1) })).toThrow(/1 entries for 6/);
  });
});

function randomInput(seed: number, count: number, tests: number, parts: number, error: number): PlannerInput {
  const random = createRandom(seed);
  const raw = Float64Array.from({ length: count }, () => random.next() ** 2 + 0.01);
  const sum = raw.reduce((a, b) => a + b, 0);
  const owner = Array.from({ length: count }, (_, h) => (h < parts ? h : random.below(parts)));
  const observable = (): Observable => ({
    codes: Uint8Array.from({ length: count }, () => random.below(2)),
    codeCount: 2,
    outcomeCount: 2,
    likelihood: Float64Array.of(1 - error, error, error, 1 - error),
  });
  return {
    weights: raw.map((w) => w / sum),
    tests: Array.from({ length: tests }, (_, t) => ({
      id: `test ${t}`,
      costMinutes: 1 + random.below(9),
      observable: observable(),
    })),
    repairs: Array.from({ length: parts }, (_, p) =>
      repair(
        `part ${p}`,
        10 + random.below(30),
        [...owner.keys()].filter((h) => owner[h] === p),
      ),
    ),
  };
}

/** Expected minutes of always doing what the planner ranks first, by following every outcome. */
function followed(input: PlannerInput, live: readonly number[], options: PlannerOptions): number {
  const mass = live.reduce((sum, h) => sum + (input.weights[h] ?? 0), 0);
  if (live.length === 0) return 0;
  const weights = input.weights.map((w, h) => (live.includes(h) ? w / mass : 0));
  const action = rankActions({ ...input, weights }, options).actions[0];
  if (action === undefined) throw new Error("nothing to do");
  const spent = mass * action.costMinutes;
  if (action.kind === "repair") {
    const fixes = input.repairs[action.index]?.fixes;
    return (
      spent +
      followed(
        input,
        live.filter((h) => fixes !== "everything" && !fixes?.includes(h)),
        options,
      )
    );
  }
  const codes = input.tests[action.index]?.observable.codes;
  return [0, 1].reduce(
    (sum, code) =>
      sum +
      followed(
        input,
        live.filter((h) => codes?.[h] === code),
        options,
      ),
    spent,
  );
}

describe("following the planner", () => {
  const problems = Array.from({ length: 12 }, (_, i) => randomInput(100 + i, 9, 7, 6, 0));

  it("costs what it says where it plans exactly, and no plan is cheaper", () => {
    problems.slice(0, 6).forEach((input, i) => {
      const ranking = rankActions(input, { neglectedWeight: 0 });
      const live = [...input.weights.keys()];
      const solver = createExactSolver({
        weights: input.weights,
        tests: input.tests.map((t) => ({
          cost: t.costMinutes,
          outcomes: [0, 1].map((code) =>
            live.reduce((m, h) => (t.observable.codes[h] === code ? m | (1 << h) : m), 0),
          ),
        })),
        repairs: input.repairs.map((r) => ({
          cost: r.costMinutes,
          fixes: live.reduce(
            (m, h) => (r.fixes !== "everything" && r.fixes.includes(h) ? m | (1 << h) : m),
            0,
          ),
        })),
      });
      const said = ranking.actions[0]?.expectedTotalCost ?? Number.NaN;
      expect(ranking.method).toBe("exact");
      expect(said, `problem ${i}`).toBeCloseTo(solver.solve(2 ** 9 - 1) ?? Number.NaN, 9);
      expect(followed(input, live, { neglectedWeight: 0 }), `problem ${i}`).toBeCloseTo(said, 9);
    });
  });

  it("costs hardly more with look-ahead only", () => {
    const total = (options: PlannerOptions): number =>
      problems.reduce((sum, input) => sum + followed(input, [...input.weights.keys()], options), 0);
    const exact = total({ neglectedWeight: 0 });
    for (const depth of [1, 2]) {
      const limited = total({ neglectedWeight: 0, exactHypotheses: 0, depth });
      expect(limited).toBeGreaterThanOrEqual(exact - 1e-9);
      expect(limited / exact, `depth ${depth}`).toBeLessThan(1.04);
    }
  });
});
