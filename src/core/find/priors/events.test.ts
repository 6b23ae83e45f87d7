import { describe, expect, it } from "vitest";
import { readInstalledFailureData } from "../../../../test/support/failure-data.js";
import { type EventPlace, eventFactor, touchPriors } from "./events.js";
import type { FaultFamily } from "./fault-family.js";

const { events: data } = readInstalledFailureData();

function place(
  family: FaultFamily,
  ref = "U1",
  nets: readonly string[] = [],
  near: readonly string[] = [],
): EventPlace {
  return { family, ref, nets: new Set(nets), isNear: (other) => near.includes(other) };
}

describe("events", () => {
  it("leave a place alone that they do not concern", () => {
    const factor = eventFactor(data, [{ kind: "dropped" }], place("dram"));
    expect(factor).toMatchObject({ value: 1, why: "No event concerns it." });
    expect(eventFactor(data, [], place("socket")).value).toBe(1);
  });

  it("raise everywhere, on a rail, near a part, or at it, as the data says", () => {
    expect(eventFactor(data, [{ kind: "transported" }], place("socket")).value).toBeGreaterThan(1);
    const miswired = { kind: "miswired-supply", rails: ["+12V"] } as const;
    expect(eventFactor(data, [miswired], place("dram", "U1", ["+12V", "GND"])).value).toBeGreaterThan(5);
    expect(eventFactor(data, [miswired], place("dram", "U1", ["+5V", "GND"])).value).toBe(1);
    expect(
      eventFactor(data, [{ kind: "miswired-supply" }], place("dram", "U1", ["+5V"])).value,
    ).toBeGreaterThan(5);
    const leak = { kind: "battery-leak", parts: ["B1"] } as const;
    const far = eventFactor(data, [leak], place("track", "U9")).value;
    expect(eventFactor(data, [leak], place("track", "U1", [], ["B1"])).value).toBeGreaterThan(10 * far);
    const slip = { kind: "short-while-probing", parts: ["U1"] } as const;
    expect(eventFactor(data, [slip], place("eprom", "U1")).value).toBeGreaterThan(10);
    expect(eventFactor(data, [slip], place("eprom", "U2")).value).toBe(1);
  });

  it("multiply when several happened, and raise single modes further", () => {
    const dropped = eventFactor(data, [{ kind: "dropped" }], place("socket")).value;
    const moved = eventFactor(data, [{ kind: "transported" }], place("socket")).value;
    const both = eventFactor(data, [{ kind: "dropped" }, { kind: "transported" }], place("socket"));
    expect(both.value).toBeCloseTo(dropped * moved, 12);
    expect(both.why).toMatch(/Dropped.*; Sent.*common practice, no source/i);
    const high = eventFactor(data, [{ kind: "supply-failed-high" }], place("dram"));
    expect(high.modes.get("shorted")).toBeGreaterThan(1);
  });
});

describe("own work", () => {
  const beside = (ref: string) => (ref === "U5" ? ["U4", "U6", "U5"] : []);

  it("puts its faults at the part worked on and next to it", () => {
    const touches = touchPriors(data, [{ kind: "soldering", parts: ["U5"] }], beside);
    const sum = (refs: readonly string[]) =>
      touches.filter((row) => refs.includes(row.ref)).reduce((total, row) => total + row.probability, 0);
    const entry = data.events.find((row) => row.event === "soldering")?.touch;
    expect(sum(["U5"])).toBeCloseTo((entry?.probability ?? 0) * (entry?.atPart ?? 0), 12);
    expect(sum(["U4"])).toBeCloseTo(sum(["U6"]), 12);
    expect(sum(["U4", "U6"])).toBeCloseTo((entry?.probability ?? 0) * (entry?.nextTo ?? 0), 12);
    expect(touches.filter((row) => row.ref === "U5").every((row) => row.place === "at-part")).toBe(true);
    expect(new Set(touches.map((row) => row.mode))).toContain("bridge");
  });

  it("is near-certain to have done it if the machine failed right after", () => {
    const touches = touchPriors(data, [{ kind: "part-replaced", parts: ["U5"], failedSince: true }], beside);
    expect(touches.reduce((sum, row) => sum + row.probability, 0)).toBeGreaterThan(0.8);
  });

  it("shares its probability among the parts of one event, and says which event it was", () => {
    const events = [{ kind: "stored" }, { kind: "part-replaced", parts: ["U7", "U8"] }] as const;
    const touches = touchPriors(data, events, () => []);
    expect(new Set(touches.map((row) => row.event))).toEqual(new Set([1]));
    const at = (ref: string) =>
      touches.filter((row) => row.ref === ref).reduce((sum, row) => sum + row.probability, 0);
    expect(at("U7")).toBeCloseTo(at("U8"), 12);
  });

  it("without a place leaves the background as it is", () => {
    expect(touchPriors(data, [{ kind: "soldering" }], beside)).toEqual([]);
    expect(touchPriors(data, [{ kind: "dropped", parts: ["U5"] }], beside)).toEqual([]);
  });
});
