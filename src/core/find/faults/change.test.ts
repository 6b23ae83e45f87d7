import { describe, expect, it } from "vitest";
import { SettledBoard } from "../../../../test/support/settled-board.js";
import { Level, wrongFlag } from "../settle/value.js";
import { applyChanges, type Change, changesKey, revertChanges } from "./change.js";

const stuck = (driver: number, level: number): Change => ({
  kind: "driver",
  driver,
  value: level | wrongFlag,
});

describe("the key of a set of changes", () => {
  it("is the same in whatever order they stand, and whichever way round a bridge is told", () => {
    const a: Change = { kind: "bridge", first: 3, second: 8 };
    const b: Change = { kind: "bridge", first: 8, second: 3 };
    expect(changesKey([a, stuck(1, Level.low)])).toBe(changesKey([stuck(1, Level.low), b]));
  });

  it("tells any two different changes apart", () => {
    const all: Change[] = [
      stuck(1, Level.low),
      stuck(1, Level.high),
      stuck(2, Level.low),
      { kind: "pin", pin: 1, value: Level.low | wrongFlag },
      { kind: "net", net: 1, value: Level.low | wrongFlag },
      { kind: "bridge", first: 1, second: 2 },
      { kind: "pull", pull: 1 },
      { kind: "part", part: 1, fault: { silent: true } },
      { kind: "part", part: 1, fault: { improper: true } },
      { kind: "part", part: 1, fault: { lostBits: [1] } },
      { kind: "part", part: 1, fault: { lostBits: [1], someCells: true } },
    ];
    expect(new Set(all.map((change) => changesKey([change]))).size).toBe(all.length);
    expect(changesKey([])).toBe("");
  });
});

describe("changes to one place", () => {
  const board = new SettledBoard(
    "PSU1:outside-supply 1=GND 2=+5V; J1:connector 1=A; U1:74LS04 1=A 2=X 7=GND 14=+5V",
  );
  const { engine } = board.circuit;

  it("merge what is bad inside a part; only some cells are lost if that is so of both", () => {
    const part = board.part("U1");
    const faults = [{ lostBits: [1], someCells: true }, { lostBits: [2] }, { improper: true }];
    const changes = faults.map((fault): Change => ({ kind: "part", part, fault }));
    applyChanges(engine, changes);
    expect(engine.partFaults[part]).toEqual({ lostBits: [1, 2], improper: true, silent: false });
    revertChanges(engine, changes);
    expect(engine.partFaults[part]).toBeUndefined();
    engine.settle();
  });

  it("let the later one win, and leave nothing behind when taken back", () => {
    const driver = engine.drivers.findIndex((d) => d.part === board.part("U1"));
    board.apply(stuck(driver, Level.low), stuck(driver, Level.high));
    expect(board.sees("X")).toBe("high!");
    board.reset();
    expect(board.sees("X")).toBe("pulsing");
    expect(engine.driverForce[driver]).toBe(-1);
  });
});
