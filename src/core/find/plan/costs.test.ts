import { describe, expect, it } from "vitest";
import { installedFindData, preparedBoard } from "../../../../test/support/prepared-board.js";
import type { CircuitPart } from "../settle/circuit.js";
import { type RepairKind, repairCost, repairOf } from "./costs.js";

const { costs } = installedFindData();
const { circuit, list } = preparedBoard("pellow-16");
const part = (ref: string): CircuitPart => {
  const found = circuit.wiring.parts[circuit.wiring.partIndex.get(ref) ?? -1];
  if (found === undefined) throw new RangeError(`no part ${ref}`);
  return found;
};
const cost = (ref: string, kind: RepairKind = "replace", inDrawer = false) =>
  repairCost(costs, part(ref), kind, inDrawer);
const { repairs, priceByFamily, minutesPerPriceUnit } = costs;

describe("the cost of a repair", () => {
  it("of a soldered chip grows with its pins, and so does its risk", () => {
    expect(cost("U17")).toEqual({
      minutes: repairs.solderedBase + 16 * repairs.solderedPerPin + repairs.check,
      money: priceByFamily["dram"],
      riskMinutes: 16 * repairs.riskPerPin,
      totalMinutes:
        repairs.solderedBase +
        16 * (repairs.solderedPerPin + repairs.riskPerPin) +
        repairs.check +
        (priceByFamily["dram"] ?? 0) * minutesPerPriceUnit,
      effort: "soldered",
    });
    expect(cost("U45").minutes).toBeGreaterThan(cost("U44").minutes);
  });

  it("of a socketed chip is less than that of any soldered one, and without risk", () => {
    const socketed = cost("U5");
    expect(socketed).toMatchObject({ minutes: repairs.socketedSwap + repairs.check, riskMinutes: 0 });
    expect(socketed.effort).toBe("socketed");
    for (const one of circuit.wiring.parts) {
      const soldered = repairCost(costs, one, "replace", true);
      if (one.pins.length < 6 || one.part.socketed === true || soldered.riskMinutes === 0) continue;
      expect(soldered.totalMinutes, one.part.ref).toBeGreaterThan(cost("U5", "replace", true).totalMinutes);
    }
  });

  it("counts no price for a spare in the drawer", () => {
    const [bought, spare] = [cost("U17"), cost("U17", "replace", true)];
    expect(spare.money).toBe(0);
    expect(bought.totalMinutes - spare.totalMinutes).toBeCloseTo(bought.money * minutesPerPriceUnit, 12);
    expect(spare.minutes).toBe(bought.minutes);
  });

  it.each([
    ["U5", "reseat", repairs.reseat, "socketed"],
    ["U17", "resolder", repairs.resolder, "soldered"],
    ["U17", "clean", repairs.cleanBridge, "soldered"],
    ["R1", "replace", repairs.twoTerminal, "soldered"],
    ["VR1", "replace", repairs.twoTerminal, "soldered"],
    ["J1", "replace", repairs.connector, "soldered"],
    ["S1A", "replace", repairs.connector, "soldered"],
    ["KB1", "replace", repairs.keyboard, "soldered"],
    ["PB1", "replace", repairs.outsideSupply, "none"],
  ] as const)("of %s, %s, is its own figure and the check", (ref, kind, minutes, effort) => {
    const found = cost(ref, kind);
    expect(found.minutes).toBe(minutes + repairs.check);
    expect(found.effort).toBe(effort);
    if (kind !== "replace") expect(found.money).toBe(0);
  });

  it("is positive and finite for every part of the board", () => {
    for (const one of circuit.wiring.parts)
      for (const kind of ["replace", "reseat", "resolder", "clean"] as const) {
        const { totalMinutes } = repairCost(costs, one, kind, false);
        expect(totalMinutes, one.part.ref).toBeGreaterThan(0);
        expect(Number.isFinite(totalMinutes), one.part.ref).toBe(true);
      }
  });
});

describe("the repair of a fault", () => {
  it("fits the place the fault is at", () => {
    const kinds = new Map(list.faults.map((fault) => [fault.site, repairOf(fault)]));
    expect(Object.fromEntries(kinds)).toEqual({
      part: "replace",
      socket: "reseat",
      track: "resolder",
      bridge: "clean",
    });
  });
});
