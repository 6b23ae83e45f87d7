import { z } from "zod";
import { sourceReferenceSchema } from "../../board/part-type.js";
import type { Fault } from "../faults/fault.js";
import type { CircuitPart } from "../settle/circuit.js";

const minutes = z.number().min(0).max(10_000);

/** Kinds of test the plan can propose, as the cost file names them. */
export const testKinds = [
  "logic-probe",
  "oscilloscope",
  "multimeter",
  "rail",
  "rail-at-pin",
  "ripple",
  "resistance",
  "continuity",
  "neighbours",
  "device",
  "comparison",
  "symptom",
  "tape-try",
  "heat",
  "heat-sweep",
  "visual-sweep",
  "lifted-part",
  "rail-drop",
  "current",
  "visual",
  "piggyback",
  "removal",
  "lifted-leg",
  "chip-tester-socketed",
  "other-supply",
  "warmed",
  "cooled",
  "flexed",
  "self-test",
] as const;
export type TestKind = (typeof testKinds)[number];

/** What readings and repairs cost in minutes; common practice, no source. Fixed before anything was tuned against it. */
export const findCostsSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  sources: z.array(sourceReferenceSchema).min(1),
  tests: z.record(z.enum(testKinds), minutes),
  neighboursPerPin: minutes.describe(
    "Added for each pin of a part whose neighbouring pins are gone through.",
  ),
  switchOff: minutes.describe("Added to a test that needs the power off."),
  repairs: z.strictObject({
    socketedSwap: minutes,
    solderedBase: minutes,
    solderedPerPin: minutes,
    riskPerPin: minutes.describe("Expected minutes lost to tracks and pads torn while unsoldering."),
    twoTerminal: minutes,
    reseat: minutes,
    resolder: minutes,
    cleanBridge: minutes,
    connector: minutes,
    keyboard: minutes,
    transformer: minutes,
    outsideSupply: minutes,
    check: minutes.describe("Trying the machine after a repair."),
    giveUp: minutes.describe("Handing the machine to someone else, in minutes this is worth."),
  }),
  priceByFamily: z.record(z.string(), z.number().min(0)),
  minutesPerPriceUnit: minutes,
});

export type FindCosts = z.infer<typeof findCostsSchema>;

/** What a repair of a fault site at a part is. */
export type RepairKind = "replace" | "reseat" | "resolder" | "clean";

/** The repair that fits a fault. */
export function repairOf(fault: Fault): RepairKind {
  switch (fault.site) {
    case "part":
      return "replace";
    case "socket":
      return "reseat";
    case "track":
      return "resolder";
    case "bridge":
      return "clean";
  }
}

/** Minutes, money and risk of one repair, the check after it included. */
export interface RepairCost {
  readonly minutes: number;
  readonly money: number;
  readonly riskMinutes: number;
  /** All of it in minutes. */
  readonly totalMinutes: number;
  readonly effort: "none" | "socketed" | "soldered";
}

/** Cost of a repair at a part. `inDrawer`: a spare is at hand, so the price does not count. */
export function repairCost(
  costs: FindCosts,
  part: CircuitPart,
  kind: RepairKind,
  inDrawer: boolean,
): RepairCost {
  const { repairs } = costs;
  const family = part.type.family;
  const pinCount = part.pins.length;
  const socketed = part.part.socketed === true;
  let work = 0;
  let risk = 0;
  let effort: RepairCost["effort"] = "soldered";
  if (kind === "reseat") {
    work = repairs.reseat;
    effort = "socketed";
  } else if (kind === "resolder") work = repairs.resolder;
  else if (kind === "clean") work = repairs.cleanBridge;
  else if (socketed) {
    work = repairs.socketedSwap;
    effort = "socketed";
  } else if (family === "outside-supply") {
    work = repairs.outsideSupply;
    effort = "none";
  } else if (family === "connector" || family === "switch") work = repairs.connector;
  else if (family === "keyboard") work = repairs.keyboard;
  else if (family === "transformer") work = repairs.transformer;
  else if (pinCount <= 3) work = repairs.twoTerminal;
  else {
    work = repairs.solderedBase + repairs.solderedPerPin * pinCount;
    risk = repairs.riskPerPin * pinCount;
  }
  const money = kind === "replace" && !inDrawer ? (costs.priceByFamily[family] ?? 0.2) : 0;
  const minutesInAll = work + repairs.check;
  return {
    minutes: minutesInAll,
    money,
    riskMinutes: risk,
    totalMinutes: minutesInAll + risk + money * costs.minutesPerPriceUnit,
    effort,
  };
}
