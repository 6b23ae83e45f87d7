import { describe, expect, it } from "vitest";
import { countHistories, meanSeparateFaults, multipleFaultShare } from "./count-histories.js";
import { repairHistorySchema } from "./field-data.js";

const histories = [
  { id: "case-002", machine_family: "kind b", fault_classes: ["ram_dram", "cpu"], additional_faults: [{}] },
  { id: "case-001", machine_family: "kind a", fault_classes: ["ram_dram"], additional_faults: [] },
  {
    id: "case-003",
    machine_family: "kind b",
    fault_classes: ["cpu", "rom", "cpu"],
    additional_faults: [{}, {}],
  },
];

describe("counting histories", () => {
  it("counts classes, kinds of machine and separate faults, sorted", () => {
    expect(countHistories(histories)).toEqual({
      histories: 3,
      machineFamilies: [
        { machineFamily: "kind a", cases: ["case-001"] },
        { machineFamily: "kind b", cases: ["case-002", "case-003"] },
      ],
      classes: [
        { class: "cpu", main: 1, any: ["case-002", "case-003"] },
        { class: "ram-dram", main: 2, any: ["case-001", "case-002"] },
        { class: "rom", main: 0, any: ["case-003"] },
      ],
      separateFaults: [
        { faults: 1, cases: ["case-001"] },
        { faults: 2, cases: ["case-002"] },
        { faults: 3, cases: ["case-003"] },
      ],
    });
  });

  it("does not depend on the order of the histories", () => {
    expect(countHistories([...histories].reverse())).toEqual(countHistories(histories));
  });

  it("gives the mean number of faults and the share of machines with several", () => {
    const counted = countHistories(histories);
    expect(meanSeparateFaults(counted)).toBe(2);
    expect(multipleFaultShare(counted)).toBeCloseTo(2 / 3, 12);
  });

  it("keeps nothing but the counted fields", () => {
    const parsed = repairHistorySchema.parse({
      ...histories[0],
      url: "http://example.invalid",
      notes: "text",
    });
    expect(Object.keys(parsed).sort()).toEqual([
      "additional_faults",
      "fault_classes",
      "id",
      "machine_family",
    ]);
  });
});
