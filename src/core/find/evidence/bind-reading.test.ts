import { describe, expect, it } from "vitest";
import { caseOf, plainSpace, preparedBoard } from "../../../../test/support/prepared-board.js";
import { bindReading } from "./bind-reading.js";
import type { BindProblem } from "./evidence.js";
import type { BoundReading } from "./reading-words.js";

const space = plainSpace(preparedBoard("pellow-16"));

function tryReading(at: string, instrument: string, more: Readonly<Record<string, unknown>>) {
  const [entry] = caseOf([{ kind: "reading", at, with: instrument, ...more }]).entries;
  if (entry?.kind !== "reading") throw new Error("not a reading");
  return bindReading(space, entry);
}

function bound(at: string, instrument: string, more: Readonly<Record<string, unknown>>): BoundReading {
  const result = tryReading(at, instrument, more);
  if ("problem" in result) throw new Error(result.problem.message);
  return result;
}

function problemOf(at: string, instrument: string, more: Readonly<Record<string, unknown>>): BindProblem {
  const result = tryReading(at, instrument, more);
  if (!("problem" in result)) throw new Error(`'${at}' was taken as ${result.label}`);
  return result.problem;
}

/** Outcomes with how much each fits, rounded, those below 0.5 % left out. */
function seen(at: string, instrument: string, more: Readonly<Record<string, unknown>>) {
  const { look, seen: weights } = bound(at, instrument, more);
  expect(weights.reduce((sum, w) => sum + w, 0)).toBeCloseTo(1, 12);
  return Object.fromEntries(
    look.outcomes.flatMap((outcome, o) => {
      const weight = weights[o] ?? 0;
      return weight < 0.005 ? [] : [[outcome, Number(weight.toFixed(2))]];
    }),
  );
}

describe("a reading's outcome", () => {
  it.each([
    ["/RAS", "logic-probe", { shows: "pulsing" }, "pulsing", true],
    ["U9.4", "logic-probe", { shows: "High" }, "high", true],
    ["/RAS", "logic-probe", { shows: "toggling" }, "pulsing", true],
    ["/RAS", "logic-probe", { shows: "neither" }, "floating", true],
    ["/RAS", "logic-probe", { hertz: 1e6 }, "pulsing", true],
    ["/RAS", "oscilloscope", { shows: "pulsing", hertz: 1e6 }, "wrong-rate", true],
    ["D0", "oscilloscope", { shows: "fighting" }, "between-levels", true],
    ["D0", "oscilloscope", { shows: "wrong-rate" }, "wrong-rate", true],
    ["D0", "multimeter", { shows: "between" }, "between-levels", true],
    ["rail:+5", "multimeter", { shows: "dead" }, "absent", true],
    ["rail:+5", "multimeter", { shows: "low" }, "too-low", true],
    ["U17.8", "multimeter", { shows: "right" }, "good", true],
    ["rail:+5", "bench-supply", { volts: 5 }, "good", true],
    ["rail:+5", "oscilloscope", { volts: 0.1 }, "absent", true],
    ["rail:+5", "oscilloscope", { shows: "low" }, "low", true],
    ["rail:+5", "logic-probe", { shows: "floating" }, "floating", true],
    ["U17", "finger", { shows: "very hot" }, "hot", true],
    ["U17", "finger", { shows: "ok" }, "normal", true],
    ["U17", "thermometer", { degreesCelsius: 74.9 }, "normal", true],
    ["U17", "thermometer", { degreesCelsius: 75 }, "hot", true],
    ["U17", "eye", { shows: "corroded" }, "damage", false],
    ["U17", "eye", { shows: "ok" }, "clean", false],
    ["D0", "twin", { shows: "same" }, "same", true],
    ["U5.9", "twin", { shows: "different" }, "different", true],
    ["U49", "chip-tester", { shows: "bad" }, "fail", false],
    ["U49", "chip-tester", { shows: "passes" }, "pass", false],
    ["U17", "test-program", { shows: "bad" }, "named", true],
    ["U17", "test-program", { shows: "good" }, "not-named", true],
    ["supply", "multimeter", { shows: "high" }, "high", true],
    ["supply", "bench-supply", { amperes: 0.9 }, "normal", true],
    ["supply", "multimeter", { amperes: 3 }, "high", true],
    ["supply", "multimeter", { amperes: 0.2 }, "low", true],
    ["rail:+5", "multimeter", { shows: "u17" }, "U17", true],
    ["rail:+5", "multimeter", { shows: "front-left" }, "front-left", true],
    ["F1", "multimeter", { shows: "open" }, "open", false],
    ["C18", "multimeter", { shows: "shorted" }, "short", false],
    ["net:+5", "multimeter", { ohms: 3 }, "short", false],
    ["net:+5", "multimeter", { ohms: 60 }, "normal", false],
    ["D0", "multimeter", { when: "unpowered", shows: "short" }, "short", false],
    ["U15.20-U10.15", "multimeter", { ohms: 0.4 }, "rings", false],
    ["U15.20-U10.15", "multimeter", { shows: "silent" }, "open", false],
    ["U17 neighbours", "multimeter", { shows: "short" }, "short", false],
    ["U17 neighbours", "multimeter", { shows: "nothing" }, "clear", false],
  ] as const)("at %s with %s %o is %s", (at, instrument, more, outcome, powered) => {
    expect(seen(at, instrument, more)).toEqual({ [outcome]: 1 });
    expect(bound(at, instrument, more).powered).toBe(powered);
  });

  it("fits the volts of a rail softly to absent, too low, good and too high", () => {
    expect(seen("rail:+5", "multimeter", { volts: 5.02 })).toEqual({ good: 1 });
    expect(seen("rail:+5", "multimeter", { volts: 0.1 })).toEqual({ absent: 1 });
    expect(seen("rail:+5", "multimeter", { volts: 4.2 })).toEqual({ "too-low": 1 });
    expect(seen("rail:+5", "multimeter", { volts: 6.1 })).toEqual({ "too-high": 1 });
    // The limit itself says as much for the one as for the other.
    expect(seen("rail:+5", "multimeter", { volts: 4.75 })).toEqual({ "too-low": 0.5, good: 0.5 });
  });

  it("reads a negative rail by its own sign", () => {
    expect(seen("rail:-5", "multimeter", { volts: -4.9 })).toEqual({ good: 1 });
    expect(seen("rail:-5", "multimeter", { volts: -0.1 })).toEqual({ absent: 1 });
    expect(seen("rail:-5", "multimeter", { volts: 4.9 })).toEqual({ absent: 1 });
    expect(seen("rail:-5", "multimeter", { volts: -7 })).toEqual({ "too-high": 1 });
  });

  it("grows without a jump from one outcome to the next", () => {
    const good = (volts: number): number => bound("rail:+5", "multimeter", { volts }).seen[2] ?? 0;
    for (let volts = 4.5; volts < 4.9; volts += 0.01) {
      expect(good(volts + 0.01)).toBeGreaterThanOrEqual(good(volts));
      expect(good(volts + 0.01) - good(volts)).toBeLessThan(0.1);
    }
  });

  it("takes a logic line's volts by TTL levels", () => {
    expect(seen("D0", "multimeter", { volts: 0.2 })).toEqual({ low: 1 });
    expect(seen("D0", "multimeter", { volts: 3.4 })).toEqual({ high: 1 });
    expect(seen("D0", "multimeter", { volts: 1.6 })).toEqual({ "between-levels": 1 });
    expect(seen("D0", "multimeter", { volts: 0.8 })).toEqual({ low: 0.5, "between-levels": 0.5 });
  });

  it("measures ripple against 2 % of a regulated rail and 15 % of a raw one", () => {
    expect(seen("rail:+5", "oscilloscope", { rippleVolts: 0.02 })).toEqual({ smooth: 1 });
    expect(seen("rail:+5", "oscilloscope", { rippleVolts: 0.1 })).toEqual({ smooth: 0.5, rippled: 0.5 });
    expect(seen("rail:+5", "multimeter", { rippleVolts: 0.5 })).toEqual({ rippled: 1 });
    expect(seen("rail:RAW +9", "oscilloscope", { rippleVolts: 0.5 })).toEqual({ smooth: 1 });
    expect(seen("rail:RAW +9", "oscilloscope", { rippleVolts: 1.35 })).toEqual({ smooth: 0.5, rippled: 0.5 });
  });

  it("judges a rate against the healthy one, within 3 %", () => {
    expect(seen("PHI0", "oscilloscope", { hertz: 1e6 })).toEqual({ pulsing: 1 });
    expect(seen("PHI0", "oscilloscope", { hertz: 1.02e6 })).toEqual({ pulsing: 1 });
    expect(seen("PHI0", "oscilloscope", { hertz: 0.5e6 })).toEqual({ "wrong-rate": 1 });
    // A data line has no rate of its own.
    expect(seen("D0", "oscilloscope", { hertz: 12345 })).toEqual({ pulsing: 1 });
  });

  it("calls a stopped line low or high, it cannot say which", () => {
    expect(seen("/RAS", "oscilloscope", { hertz: 0 })).toEqual({ low: 0.5, high: 0.5 });
  });
});

describe("a reading that cannot be one", () => {
  it.each([
    ["U99.1", "logic-probe", { shows: "low" }, "unknown-place", /no part, pin or net called 'U99'/],
    ["U17", "logic-probe", { shows: "low" }, "wrong-place", /logic-probe needs a pin or a net/],
    ["U17.8", "eye", { shows: "clean" }, "wrong-place", /eye needs a part/],
    ["/RAS", "finger", { shows: "hot" }, "wrong-place", /finger needs a part/],
    ["D0", "oscilloscope", { rippleVolts: 0.1 }, "wrong-place", /needs a rail or a supply pin/],
    ["/RAS", "logic-probe", { shows: "blinking" }, "unknown-outcome", /'blinking' is nothing/],
    ["/RAS", "logic-probe", {}, "missing-value", /says nothing of what it shows/],
    ["rail:+5", "multimeter", {}, "missing-value", /says nothing of what it shows/],
    ["U17", "finger", {}, "missing-value", /says nothing of what it shows/],
    ["D0", "multimeter", { volts: 12 }, "impossible-value", /12 V cannot stand on the logic line D0/],
    ["D0", "multimeter", { volts: -5 }, "impossible-value", /-5 V cannot stand on the logic line D0/],
  ] as const)("at %s with %s %o says so in one sentence", (at, instrument, more, code, message) => {
    const problem = problemOf(at, instrument, more);
    expect(problem.code).toBe(code);
    expect(problem.message).toMatch(message);
    expect(problem.message).not.toMatch(/\n|\.\s/);
  });

  it("suggests the word that was meant", () => {
    expect(problemOf("/RAS", "logic-probe", { shows: "pulsin" }).hint).toBe("Did you mean pulsing?");
  });
});

describe("a reading's likelihoods", () => {
  it("are those of its instrument's table for each level, right or wrong", () => {
    const { look, seen: weights } = bound("/RAS", "logic-probe", { shows: "low" });
    const outcome = weights.indexOf(1);
    const of = (code: number): number => look.likelihood[code * look.outcomes.length + outcome] ?? 0;
    const model = space.model.instruments["logic-probe"]?.levels;
    expect(of(look.codeOf(space.health, []))).toBe(model?.pulsing?.[0]);
  });

  it("forecast a wrong rate where the net has a healthy one", () => {
    const wrongRate = (at: string): number => {
      const { look } = bound(at, "oscilloscope", { shows: "wrong-rate" });
      const wrong = space.views.find((view) => {
        const net = space.circuit.wiring.netIndex.get(at) ?? -1;
        return view.nets[view.netBase + net] === (2 | 16);
      });
      if (wrong === undefined) throw new Error(`no fault makes ${at} pulse with wrong information`);
      const o = look.outcomes.indexOf("wrong-rate");
      return look.likelihood[look.codeOf(wrong, []) * look.outcomes.length + o] ?? 0;
    };
    expect(wrongRate("H0")).toBeGreaterThan(0.5);
    expect(wrongRate("D0")).toBeLessThan(0.05);
  });

  it("keep right and wrong apart only where the instrument can", () => {
    const probe = bound("D0", "logic-probe", { shows: "pulsing" }).look;
    const twin = bound("D0", "twin", { shows: "same" }).look;
    const net = space.circuit.wiring.netIndex.get("D0") ?? -1;
    const wrong = space.views.find((view) => (view.nets[view.netBase + net] ?? 0) === (2 | 16));
    if (wrong === undefined) throw new Error("no fault makes D0 pulse with wrong information");
    const row = (look: BoundReading["look"], code: number): number[] => [
      ...look.likelihood.subarray(code * look.outcomes.length, (code + 1) * look.outcomes.length),
    ];
    expect(row(probe, probe.codeOf(wrong, []))).toEqual(row(probe, probe.codeOf(space.health, [])));
    expect(row(twin, twin.codeOf(wrong, []))).not.toEqual(row(twin, twin.codeOf(space.health, [])));
  });
});
