import { describe, expect, it } from "vitest";
import { plainSpace, preparedBoard } from "../../../../test/support/prepared-board.js";
import type { Fault } from "../faults/fault.js";
import type { Look } from "./look.js";
import {
  continuityLook,
  currentLook,
  heatLook,
  neighboursLook,
  otherSupplyLook,
  piggybackLook,
  provocationLook,
  removalLook,
  shortLook,
  testerLook,
  visualLook,
} from "./looks-passive.js";

const space = plainSpace(preparedBoard("pellow-16"));
const { wiring } = space.circuit;
const { errors } = space.model;

function fault(id: string): Fault {
  const found = space.faults.find((one) => one.id === id);
  if (found === undefined) throw new RangeError(`no fault ${id}`);
  return found;
}
const part = (ref: string): number => wiring.partIndex.get(ref) ?? -1;
const net = (name: string): number => wiring.netIndex.get(name) ?? -1;
const pin = (name: string): number => wiring.pinIndex.get(name) ?? -1;

/** Probability of an outcome of a look with a fault there, in the first row of its effect. */
function chance(look: Look, outcome: string, ...faults: Fault[]): number {
  const [first] = faults;
  const row = first === undefined ? 0 : (space.table.firstRow[first.effect] ?? 0);
  const view = space.views[row] ?? space.health;
  return (
    look.likelihood[look.codeOf(view, faults) * look.outcomes.length + look.outcomes.indexOf(outcome)] ?? 0
  );
}

describe("the neighbouring pins of a part", () => {
  const short = (ref: string, ...faults: Fault[]): number =>
    chance(neighboursLook(space, part(ref)), "short", ...faults);
  // RA2 and RA1 stand side by side at every 4116, RA0 and RA2 as well; D0 is U17's own.
  const address = fault("U19:bridge:bridge:6-7");
  const own = fault("U17:bridge:bridge:2-3");

  it("ring where two of their nets touch, at whatever part", () => {
    expect(short("U19", address)).toBe(errors.continuityBreakSeen);
    expect(short("U17", address)).toBe(errors.continuityBreakSeen);
    expect(short("U17", own)).toBe(errors.continuityBreakSeen);
    expect(short("U18", own)).toBe(errors.continuityBreakClaimed);
    expect(short("U17")).toBe(errors.continuityBreakClaimed);
  });

  it("do not ring across the ends of the two rows", () => {
    expect(space.faults.some(({ id }) => id === "U17:bridge:bridge:8-9")).toBe(false);
  });
});

describe("resistance to ground", () => {
  const short = (name: string, ...faults: Fault[]): number =>
    chance(shortLook(space, net(name)), "short", ...faults);

  it("shows the short of a capacitor on the rail, not one on another rail", () => {
    expect(short("+5", fault("C13:short"))).toBe(errors.resistanceShortSeen);
    expect(short("+12", fault("C13:short"))).toBe(errors.resistanceShortClaimed);
    expect(short("+5")).toBe(errors.resistanceShortClaimed);
  });

  it("shows it through the link that joins regulator and board, but not through a regulator or a switch", () => {
    expect(short("+5", fault("C6:short"))).toBe(errors.resistanceShortSeen);
    expect(short("+5 OUT", fault("C13:short"))).toBe(errors.resistanceShortSeen);
    expect(short("RAW +9", fault("C13:short"))).toBe(errors.resistanceShortClaimed);
    expect(short("AC8 IN", fault("C13:short"))).toBe(errors.resistanceShortClaimed);
  });

  it("shows a bridge to ground", () => {
    const bridge = space.faults.find(({ signs }) => signs.bridged?.[0] === 0 || signs.bridged?.[1] === 0);
    const other = bridge?.signs.bridged?.find((one) => one !== 0) ?? -1;
    if (bridge === undefined) throw new RangeError("no bridge to ground");
    expect(short(wiring.nets[other] ?? "", bridge)).toBe(errors.resistanceShortSeen);
  });
});

describe("continuity", () => {
  it("misses between two legs of a net only where one of them is cut off", () => {
    const look = continuityLook(space, pin("U17.8"), pin("U18.8"));
    expect(chance(look, "rings")).toBe(1 - errors.continuityBreakClaimed);
    expect(chance(look, "open", fault("U17:track:track-open:8"))).toBe(errors.continuityBreakSeen);
    expect(chance(look, "open", fault("U19:track:track-open:8"))).toBe(errors.continuityBreakClaimed);
  });

  it("is there between two nets only where something bridges them", () => {
    const bridge = space.faults.find(({ id }) => id.startsWith("U17:bridge:"));
    const [a = "", b = ""] = bridge?.detail.split("-") ?? [];
    const look = continuityLook(space, pin(`U17.${a}`), pin(`U17.${b}`));
    expect(chance(look, "open")).toBe(1 - errors.continuityBreakClaimed);
    if (bridge === undefined) throw new RangeError("no bridge at U17");
    expect(chance(look, "rings", bridge)).toBe(errors.continuityBreakSeen);
  });
});

describe("signs of a part", () => {
  it("has a shorted chip run hot, and the regulator that feeds it", () => {
    const shorted = fault("U15:shorted:+5");
    expect(chance(heatLook(space, part("U15")), "hot", shorted)).toBe(errors.hotSeen);
    expect(chance(heatLook(space, part("VR1")), "hot", shorted)).toBe(errors.hotSeen);
    expect(chance(heatLook(space, part("VR2")), "hot", shorted)).toBe(errors.hotClaimed);
    expect(chance(heatLook(space, part("U16")), "hot", shorted)).toBe(errors.hotClaimed);
  });

  it("has a short draw more current, a dead supply less", () => {
    expect(chance(currentLook(space), "high", fault("C13:short"))).toBe(errors.currentHighSeen);
    expect(chance(currentLook(space), "low", fault("VR1:no-output"))).toBe(errors.currentLowSeen);
    expect(chance(currentLook(space), "normal")).toBe(1 - errors.currentClaimed);
  });

  it("has joints and bridges seen, the inside of a chip not", () => {
    expect(chance(visualLook(space, part("U17")), "damage", fault("U17:track:track-open:8"))).toBe(
      errors.visualSeen,
    );
    expect(chance(visualLook(space, part("U17")), "damage", fault("U17:output-stuck-low:14"))).toBe(
      errors.visualClaimed,
    );
  });

  it("has a tester judge the part, not its socket", () => {
    const look = testerLook(space, part("U15"));
    expect(chance(look, "fail", fault("U15:wrong-content"))).toBeCloseTo(1 - errors.testerFalsePass, 12);
    expect(chance(look, "fail")).toBe(errors.testerFalseFail);
    const contact = space.faults.find(({ id }) => id.startsWith("U15:socket:"));
    if (contact === undefined) throw new RangeError("U15 has no socket");
    expect(chance(look, "fail", contact)).toBe(errors.testerFalseFail);
  });

  it("has a chip on top bring back what is open, not what is stuck", () => {
    const look = piggybackLook(space, part("U20"));
    expect(chance(look, "fixed", fault("U20:output-open:14"))).toBe(errors.piggybackCures);
    expect(chance(look, "fixed", fault("U20:output-stuck-low:14"))).toBe(errors.piggybackClaimed);
  });

  it("has a held line come free when the leg that holds it is lifted, and only that leg", () => {
    const look = removalLook(space, part("U20"), pin("U20.14"), net("MD3"));
    expect(chance(look, "freed", fault("U20:output-stuck-low:14"))).toBe(errors.removalFrees);
    expect(chance(look, "freed", fault("U31:input-drags:8"))).toBe(errors.removalClaimed);
    const other = removalLook(space, part("U20"), pin("U20.2"), net("MD3"));
    expect(chance(other, "freed", fault("U20:output-stuck-low:14"))).toBe(errors.removalClaimed);
  });

  it("has another supply cure the outside one only", () => {
    expect(chance(otherSupplyLook(space), "fixed", fault("PB1:no-output"))).toBe(errors.otherSupplyCures);
    expect(chance(otherSupplyLook(space), "fixed", fault("VR1:no-output"))).toBe(errors.provocationClaimed);
  });

  it("has warmth and flexing provoke what comes and goes", () => {
    const warm = provocationLook(space, "warmed", -1);
    expect(chance(warm, "changed", fault("U20:output-stuck-low:14:warm-only"))).toBe(
      errors.heatMakesItAppear,
    );
    expect(chance(warm, "changed", fault("U20:output-stuck-low:14"))).toBe(errors.provocationClaimed);
    const elsewhere = provocationLook(space, "warmed", part("U21"));
    expect(chance(elsewhere, "changed", fault("U20:output-stuck-low:14:warm-only"))).toBe(
      errors.provocationClaimed,
    );
    const flexed = provocationLook(space, "flexed", -1);
    expect(chance(flexed, "changed", fault("U17:track:track-open:8"))).toBe(errors.flexingShows);
  });

  it.each([
    ["short", shortLook(space, 1)],
    ["continuity", continuityLook(space, 0, 1)],
    ["heat", heatLook(space, 0)],
    ["current", currentLook(space)],
    ["visual", visualLook(space, 0)],
    ["tester", testerLook(space, 0)],
  ] as const)("is a distribution for each prediction: %s", (_, look) => {
    for (let code = 0; code < look.codeCount; code += 1) {
      const row = look.likelihood.subarray(code * look.outcomes.length, (code + 1) * look.outcomes.length);
      expect(row.reduce((sum, p) => sum + p, 0)).toBeCloseTo(1, 12);
    }
  });
});
