import { describe, expect, it } from "vitest";
import { SettledBoard } from "../../../../test/support/settled-board.js";
import { Level } from "./value.js";

// Outside supply +9V, fuse, +8V, link, +5V.
const fused =
  "F1:fuse 1=+9V 2=+8V; LK1:jumper 1=+8V 2=+5V; C1:capacitor-ceramic 1=+5V 2=GND; U1:74LS00 1=A 2=A 3=Y 7=GND 14=+5V";

describe("a supply net that is shorted", () => {
  const board = new SettledBoard(fused);
  const rails = (): string[] => ["+9V", "+8V", "+5V"].map((net) => board.sees(net));

  it("drags down what feeds it, up to the fuse, which blows", () => {
    board.apply(board.held("+5V", Level.railAbsent));
    expect(rails()).toEqual(["good", "absent!", "absent!"]);
    const { fusesInFront, wiring } = board.circuit;
    const blown = (net: string) => fusesInFront[board.net(net)]?.map((part) => wiring.parts[part]?.part.ref);
    expect(["+9V", "+8V", "+5V"].map(blown)).toEqual([[], ["F1"], ["F1"]]);
    board.reset();
    expect(rails()).toEqual(["good", "good", "good"]);
  });

  it("does so by a bridge to ground as well", () => {
    board.apply(board.bridge("+5V", "GND"));
    expect(rails()).toEqual(["good", "absent!", "absent!"]);
    board.reset();
  });

  it("leaves what feeds it alone where the way is open, whichever came first", () => {
    const driver = board.circuit.engine.drivers.findIndex(({ part }) => part === board.part("LK1"));
    const open = { kind: "driver", driver, value: Level.railAbsent | 16 } as const;
    const short = board.held("+5V", Level.railAbsent);
    for (const order of [
      [open, short],
      [short, open],
    ]) {
      for (const change of order) board.apply(change);
      expect(rails()).toEqual(["good", "good", "absent!"]);
      board.reset();
    }
  });

  it("drags nothing behind a regulator, which limits", () => {
    const regulated = new SettledBoard(
      "VR1:7805 1=+9V 2=GND 3=+6V; LK1:jumper 1=+6V 2=+5V; U1:74LS00 1=A 2=A 3=Y 7=GND 14=+5V",
    );
    regulated.apply(regulated.held("+5V", Level.railAbsent));
    expect(["+9V", "+6V", "+5V"].map((net) => regulated.sees(net))).toEqual(["good", "absent!", "absent!"]);
  });
});
