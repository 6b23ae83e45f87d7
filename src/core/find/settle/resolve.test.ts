import { describe, expect, it } from "vitest";
import { resolveNaively } from "../../../../test/naive/resolve.naive.js";
import { createRandom } from "../../base/random.js";
import { planeShift, putValue, valueAt } from "./planes.js";
import { markWrong, NetResolver } from "./resolve.js";
import { Level, partTimeFlag, wrongFlag } from "./value.js";

const phaseCount = 6;
const allPhases = 2 ** phaseCount - 1;
const signalLevels = [
  Level.low,
  Level.high,
  Level.pulsing,
  Level.floating,
  Level.steady,
  Level.fightLow,
  Level.fightPulsing,
  Level.looping,
  Level.unsettled,
];

/** Nets 0 ground, 1 rail, 2 and 3 signals; drivers and pulls as given. */
function setUp(
  driverNets: readonly number[],
  pulls: readonly { net: number; rail: number }[],
  more: { weak?: readonly boolean[]; from?: readonly number[] } = {},
) {
  const netDuty = Uint8Array.of(2, 1, 0, 0);
  const drive = new Int32Array(driverNets.length << planeShift);
  const nets = new Int32Array(netDuty.length << planeShift);
  putValue(nets, 0, Level.low, allPhases);
  putValue(nets, 1 << planeShift, Level.railGood, allPhases);
  const pullOff = new Uint8Array(pulls.length);
  const netForce = new Int16Array(netDuty.length).fill(-1);
  const resolver = new NetResolver({
    drivers: driverNets.map((net, i) => ({
      net,
      pin: -1,
      part: more.weak?.[i] === true ? 1 : 0,
      from: more.from?.[i] ?? -1,
    })),
    pulls: pulls.map((pull) => ({ ...pull, part: 0 })),
    netDuty,
    drive,
    nets,
    pullOff,
    netForce,
    allPhases,
    isWeak: (driver) => driver.part === 1,
  });
  const out = new Int32Array(1 << planeShift);
  return { resolver, drive, nets, pullOff, netForce, out };
}

describe("what outputs make of a net", () => {
  it.each([
    ["without a pull", [], Level.floating],
    ["with a pull-up", [{ net: 2, rail: 1 }], Level.high],
    ["with a pull-down", [{ net: 2, rail: 0 }], Level.low],
    [
      "with a divider",
      [
        { net: 2, rail: 1 },
        { net: 2, rail: 0 },
      ],
      Level.steady,
    ],
  ] as const)("follows the rules in every phase, %s", (_, pulls, pulled) => {
    const random = createRandom(31);
    const anyValue = (): number =>
      (signalLevels[random.below(signalLevels.length)] ?? 0) |
      (random.below(3) === 0 ? wrongFlag : 0) |
      (random.below(3) === 0 ? partTimeFlag : 0);
    for (let round = 0; round < 2000; round += 1) {
      const outputs = Array.from({ length: random.below(5) }, () =>
        Array.from({ length: phaseCount }, anyValue),
      );
      const weak = outputs.map(() => random.below(2) === 0);
      const { resolver, drive, out } = setUp(
        outputs.map(() => 2),
        pulls,
        { weak },
      );
      for (const [d, values] of outputs.entries()) {
        for (const [phase, value] of values.entries()) putValue(drive, d << planeShift, value, 1 << phase);
      }
      resolver.resolve(2, -1, out);
      for (let phase = 0; phase < phaseCount; phase += 1) {
        const values = outputs.map((output, i) => ({ value: output[phase] ?? 0, weak: weak[i] === true }));
        const expected = resolveNaively(values, pulled);
        expect(valueAt(out, 0, phase) & ~partTimeFlag, JSON.stringify(values)).toBe(expected);
      }
    }
  });

  it("lets a pull go that is open, and one whose rail is gone", () => {
    const { resolver, nets, pullOff, out } = setUp([], [{ net: 2, rail: 1 }]);
    const level = (): number => {
      resolver.resolve(2, -1, out);
      return valueAt(out, 0, 0);
    };
    expect(level()).toBe(Level.high);
    pullOff[0] = 1;
    expect(level()).toBe(Level.floating);
    pullOff[0] = 0;
    putValue(nets, 1 << planeShift, Level.railAbsent, allPhases);
    expect(level()).toBe(Level.floating);
  });

  it("holds a forced net whatever drives it, and ground always", () => {
    const { resolver, drive, netForce, out } = setUp([2, 0], []);
    putValue(drive, 0, Level.high, allPhases);
    putValue(drive, 1 << planeShift, Level.high, allPhases);
    netForce[2] = Level.low | wrongFlag;
    resolver.resolve(2, -1, out);
    expect(valueAt(out, 0, 3)).toBe(Level.low | wrongFlag);
    resolver.resolve(0, -1, out);
    expect(valueAt(out, 0, 3)).toBe(Level.low);
  });

  it("makes one net of two that touch", () => {
    const { resolver, drive, out } = setUp([2, 3], []);
    putValue(drive, 0, Level.low, allPhases);
    putValue(drive, 1 << planeShift, Level.high, 0b011);
    putValue(drive, 1 << planeShift, Level.low, 0b100);
    putValue(drive, 1 << planeShift, Level.floating, 0b111000);
    for (const [net, partner] of [
      [2, 3],
      [3, 2],
    ] as const) {
      resolver.resolve(net, partner, out);
      const values = [0, 2, 3].map((phase) => valueAt(out, 0, phase) & ~wrongFlag);
      expect(values).toEqual([Level.fightLow, Level.low, Level.low]);
    }
  });

  it("takes what comes from the other net for wrong, and its own for right", () => {
    const { resolver, drive, out } = setUp([2, 3], []);
    putValue(drive, 0, Level.pulsing, 0b0011);
    putValue(drive, 0, Level.floating, 0b1100);
    putValue(drive, 1 << planeShift, Level.floating, 0b0101);
    putValue(drive, 1 << planeShift, Level.high, 0b0010);
    putValue(drive, 1 << planeShift, Level.pulsing, 0b1000);
    resolver.resolve(2, 3, out);
    expect([0, 1, 2, 3].map((phase) => valueAt(out, 0, phase))).toEqual([
      Level.pulsing,
      // The other net's high gives way.
      Level.fightPulsing,
      Level.floating,
      Level.pulsing | wrongFlag,
    ]);
  });

  it("changes nothing where they touch across the part that passes the one on to the other", () => {
    const { resolver, drive, out } = setUp([2, 3], [], { from: [-1, 2] });
    putValue(drive, 0, Level.pulsing, allPhases);
    putValue(drive, 1 << planeShift, Level.pulsing, allPhases);
    for (const [net, partner] of [
      [2, 3],
      [3, 2],
    ] as const) {
      resolver.resolve(net, partner, out);
      expect(valueAt(out, 0, 0)).toBe(Level.pulsing);
    }
  });

  it("gives way to a supply net that touches it", () => {
    const { resolver, drive, out } = setUp([2], []);
    putValue(drive, 0, Level.pulsing, allPhases);
    resolver.resolve(2, 0, out);
    expect(valueAt(out, 0, 0)).toBe(Level.low | wrongFlag);
    resolver.resolve(2, 1, out);
    expect(valueAt(out, 0, 0)).toBe(Level.high | wrongFlag);
    // A rail tied to ground is gone.
    resolver.resolve(1, 0, out);
    expect(valueAt(out, 0, 0)).toBe(Level.railAbsent | wrongFlag);
  });
});

/** A level without the fight over it. */
const readAs = (level: number): number =>
  level === Level.fightLow ? Level.low : level === Level.fightPulsing ? Level.pulsing : level;

describe("what a net's information is worth", () => {
  it("is wrong where the level is another, right where a resting level is the healthy one", () => {
    for (const healthy of signalLevels) {
      for (const level of signalLevels) {
        for (const flag of [0, wrongFlag]) {
          const value = new Int32Array(1 << planeShift);
          const before = new Int32Array(1 << planeShift);
          putValue(value, 0, level | flag, 0b10);
          putValue(before, 0, healthy, 0b10);
          markWrong(value, before, 0);
          const rests = [Level.low, Level.fightLow, Level.high, Level.floating].some((l) => l === level);
          const differs = readAs(level) !== readAs(healthy);
          const wrong = differs ? wrongFlag : rests ? 0 : flag;
          expect(valueAt(value, 0, 1)).toBe(level | wrong);
        }
      }
    }
  });
});
