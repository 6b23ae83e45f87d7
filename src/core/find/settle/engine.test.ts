import { describe, expect, it } from "vitest";
import { phasesOf, SettledBoard } from "../../../../test/support/settled-board.js";
import { Level, partTimeFlag, wrongFlag } from "./value.js";

const supply = "PSU1:outside-supply 1=GND 2=+5V; ";

/** Two buffers that take turns on a line, and a gate that listens. */
function sharedLine(listener: "74LS04" | "74HCT04"): SettledBoard {
  return new SettledBoard(
    `${supply}J1:connector 1=A 2=B 3=/EA 4=/EB;
     U1:74LS125 1=/EA 2=A 3=LINE 4=/EB 5=B 6=LINE 7=GND 14=+5V;
     U2:${listener} 1=LINE 2=Y 7=GND 14=+5V`,
    {
      phases: phasesOf(
        { A: "low", B: "high", "/EA": "low", "/EB": "high" },
        { A: "low", B: "high", "/EA": "high", "/EB": "low" },
      ),
    },
  );
}

describe("a line that outputs share", () => {
  it("carries in each phase what the enabled output puts out", () => {
    const board = sharedLine("74LS04");
    expect(board.circuit.unexplained).toEqual([]);
    expect(board.inEachPhase("LINE")).toEqual(["low", "high"]);
    expect(board.inEachPhase("Y")).toEqual(["high", "low"]);
    expect(board.sees("LINE")).toBe("pulsing");
  });

  it("is fought over when both are enabled, and the low one wins", () => {
    const board = sharedLine("74LS04");
    board.apply(board.held("/EB", Level.low));
    // Held low by the one that should drive: what it says stays right, and only the fight shows.
    expect(board.inEachPhase("LINE")).toEqual(["fighting, held low", "high"]);
    expect(board.inEachPhase("Y")).toEqual(["high", "low"]);
    board.reset().apply(board.held("/EA", Level.low));
    expect(board.inEachPhase("LINE")).toEqual(["low", "fighting, held low!"]);
    expect(board.inEachPhase("Y")).toEqual(["high", "high!"]);
    expect(board.sees("LINE")).toBe("fighting, held low!");
  });

  it("floats when none is enabled: a probe shows neither, a TTL input reads high", () => {
    const board = sharedLine("74LS04");
    board.apply(board.held("/EA", Level.high));
    expect(board.inEachPhase("LINE")).toEqual(["floating!", "high"]);
    expect(board.inEachPhase("Y")).toEqual(["low!", "low"]);
    board.reset().apply(board.held("/EB", Level.high));
    expect(board.inEachPhase("LINE")).toEqual(["low", "floating!"]);
    // Where the healthy line is high anyway, what the gate makes of it stays right.
    expect(board.inEachPhase("Y")).toEqual(["high", "low"]);
  });

  it("reads as anything to a MOS input when it floats", () => {
    const board = sharedLine("74HCT04");
    board.apply(board.held("/EB", Level.high));
    expect(board.inEachPhase("Y")).toEqual(["high", "steady!"]);
  });

  it("is driven now and then where an enable moves that should not", () => {
    const board = sharedLine("74LS04");
    board.apply(board.held("/EB", Level.pulsing));
    expect(board.inEachPhase("LINE")).toEqual(["fighting!", "pulsing!"]);
  });
});

describe("a memory and a gate on one line", () => {
  const board = new SettledBoard(
    `${supply}J1:connector 1=A0 2=/CS 3=/EN 4=D; U1:2716 8=A0 9=LINE 12=GND 18=/CS 20=/CS 24=+5V;
     U2:74LS125 1=/EN 2=D 3=LINE 7=GND 14=+5V; U3:74LS04 1=LINE 2=Y 7=GND 14=+5V`,
    {
      phases: phasesOf(
        { A0: "pulsing", D: "pulsing", "/CS": "low", "/EN": "high" },
        { A0: "pulsing", D: "pulsing", "/CS": "high", "/EN": "low" },
      ),
    },
  );

  it("let the gate's low win over a memory stuck high, so that only the memory is misread", () => {
    board.apply(board.stuck("U1.9", Level.high));
    expect(board.inEachPhase("LINE")).toEqual(["high!", "fighting"]);
    expect(board.inEachPhase("Y")).toEqual(["low!", "pulsing"]);
    board.reset();
  });

  it("let the gate's high win over the memory's low", () => {
    board.apply(board.stuck("U2.3", Level.high));
    expect(board.inEachPhase("LINE")).toEqual(["fighting!", "high!"]);
    expect(board.inEachPhase("Y")[0]).toBe("pulsing!");
    board.reset();
  });

  it("are both held by one of them stuck low", () => {
    board.apply(board.stuck("U1.9", Level.low));
    expect(board.inEachPhase("LINE")).toEqual(["low!", "fighting, held low!"]);
    board.reset();
  });
});

describe("resistors that mix two signals", () => {
  const board = new SettledBoard(
    `${supply}J1:connector 1=A 2=B; U1:74LS04 1=A 2=X 3=B 4=Y 7=GND 14=+5V;
     R1:resistor 1=X 2=MIX; R2:resistor 1=MIX 2=Y; R3:resistor 1=MIX 2=GND; U2:74LS04 1=MIX 2=Z 7=GND 14=+5V`,
  );
  const driverOf = (ref: string): number =>
    board.circuit.engine.drivers.findIndex((driver) => driver.part === board.part(ref));

  it("move if one of them does", () => {
    expect(board.sees("MIX")).toBe("pulsing");
    board.apply(board.held("A", Level.high));
    expect(board.sees("MIX")).toBe("pulsing!");
    board.reset();
  });

  it("rest between the two if none does", () => {
    board.apply(board.held("A", Level.high), board.held("B", Level.low));
    expect(board.sees("MIX")).toBe("steady!");
    board.reset().apply(board.held("A", Level.low), board.held("B", Level.low));
    expect(board.sees("MIX")).toBe("high!");
    board.reset();
  });

  it("miss one that is open", () => {
    const value = Level.steady | partTimeFlag | wrongFlag;
    for (const ref of ["R1", "R2"]) {
      board.apply({ kind: "driver", driver: driverOf(ref), value });
      expect(board.sees("MIX"), ref).toBe("pulsing!");
      board.reset();
    }
  });

  it("are not made by feedback: a resistor from what depends on the net", () => {
    const loop = new SettledBoard(
      `${supply}J1:connector 1=A; R1:resistor 1=A 2=IN; R2:resistor 1=IN 2=OUT;
       U1:74LS04 1=IN 2=M 3=M 4=OUT 7=GND 14=+5V`,
    );
    const { engine } = loop.circuit;
    expect(engine.driversOfNet[loop.net("IN")]).toHaveLength(1);
  });
});

describe("open-collector outputs on one line", () => {
  const wired = (pull: string): SettledBoard =>
    new SettledBoard(
      `${supply}J1:connector 1=A 2=B; ${pull}
       U1:74LS05 1=A 2=LINE 3=B 4=LINE 7=GND 14=+5V; U2:74LS04 1=LINE 2=Y 7=GND 14=+5V`,
      {
        phases: phasesOf({ A: "low", B: "low" }, { A: "high", B: "low" }, { A: "high", B: "high" }),
      },
    );

  it("pull it low together or let a pull-up have it", () => {
    const board = wired("R1:resistor 1=LINE 2=+5V;");
    expect(board.inEachPhase("LINE")).toEqual(["high", "low", "low"]);
    expect(board.circuit.unexplained).toEqual([]);
  });

  it("leave it floating once the pull-up is open, which a TTL input still reads as high", () => {
    const board = wired("R1:resistor 1=LINE 2=+5V;");
    board.apply({ kind: "pull", pull: 0 });
    expect(board.inEachPhase("LINE")).toEqual(["floating!", "low", "low"]);
    expect(board.inEachPhase("Y")).toEqual(["low", "high", "high"]);
  });

  it("lose their high level with the rail it is pulled to, and get it back with it", () => {
    const board = wired("R1:resistor 1=LINE 2=+12V; PSU2:outside-supply 1=GND 2=+12V;");
    board.apply(board.held("+12V", Level.railAbsent));
    expect(board.inEachPhase("LINE")).toEqual(["floating!", "low", "low"]);
    expect(board.reset().inEachPhase("LINE")).toEqual(["high", "low", "low"]);
  });

  it("let it float without a pull-up", () => {
    expect(wired("").inEachPhase("LINE")).toEqual(["floating", "low", "low"]);
  });

  it("cannot make it high when one of them is stuck low", () => {
    const board = wired("R1:resistor 1=LINE 2=+5V;");
    board.apply(board.stuck("U1.2", Level.low));
    expect(board.inEachPhase("LINE")).toEqual(["low!", "low", "low"]);
  });
});

describe("two nets that touch", () => {
  const board = new SettledBoard(
    `${supply}J1:connector 1=A 2=B; U1:74LS04 1=A 2=X 3=B 4=Y 7=GND 14=+5V;
     U2:74LS00 1=X 2=Y 3=Z 7=GND 14=+5V`,
    { phases: phasesOf({ A: "low", B: "low" }, { A: "low", B: "high" }, { A: "high", B: "high" }) },
  );

  it("go low where one of them is", () => {
    board.apply(board.bridge("X", "Y"));
    expect(board.inEachPhase("X")).toEqual(["high", "fighting, held low!", "low"]);
    expect(board.inEachPhase("Y")).toEqual(["high", "fighting, held low", "low"]);
    // Both inputs of the last gate read the same; in the middle it would have been high anyway.
    expect(board.inEachPhase("Z")).toEqual(["low", "high", "high"]);
    board.reset();
    expect(board.inEachPhase("X")).toEqual(["high", "high", "low"]);
  });

  it("are gone with a supply net that touches them", () => {
    board.apply(board.bridge("X", "GND"));
    expect(board.inEachPhase("X")).toEqual(["low!", "low!", "low"]);
    board.reset().apply(board.bridge("Y", "+5V"));
    expect(board.inEachPhase("Y")).toEqual(["high", "high!", "high!"]);
    board.reset().apply(board.bridge("+5V", "GND"));
    expect(board.sees("+5V")).toBe("absent!");
    expect(board.sees("Z")).toBe("floating!");
    board.reset();
    expect(board.circuit.engine.bridged.every((partner) => partner === -1)).toBe(true);
  });
});

describe("loops", () => {
  it("rest where their values do: a latch of two gates keeps what it is told", () => {
    const latch = new SettledBoard(
      `${supply}J1:connector 1=/SET 2=/CLEAR;
       U1:74LS00 1=/SET 2=/Q 3=Q 4=Q 5=/CLEAR 6=/Q 7=GND 14=+5V`,
      { phases: phasesOf({ "/SET": "low", "/CLEAR": "high" }) },
    );
    expect([latch.sees("Q"), latch.sees("/Q")]).toEqual(["high", "low"]);
    latch.apply(latch.held("/SET", Level.high), latch.held("/CLEAR", Level.low));
    expect([latch.sees("Q"), latch.sees("/Q")]).toEqual(["low!", "high!"]);
  });

  it("whose values chase each other are bounded and called unsettled, and only in the phases in which they do", () => {
    const board = new SettledBoard(
      `${supply}J1:connector 1=A 2=B; U1:74LS00 1=A 2=B 3=X 7=GND 14=+5V;
       U2:74LS04 1=X 2=Y 7=GND 14=+5V`,
      { phases: phasesOf({ A: "low", B: "high" }, { A: "high", B: "high" }) },
    );
    // The output tied to an input of its own gate: high makes it low, low makes it high.
    board.apply(board.bridge("X", "B"));
    const { engine, wiring } = board.circuit;
    expect(engine.unsettledNets.map((net) => wiring.nets[net])).toContain("X");
    expect(board.inEachPhase("X")[0]).toBe("high");
    expect(board.inEachPhase("Y")[0]).toBe("low");
    expect(board.inEachPhase("Y")[1]).toBe("pulsing!");
    board.reset();
    expect(engine.unsettledNets).toEqual([]);
    expect(board.inEachPhase("Y")).toEqual(["low", "high"]);
  });
});

describe("clocks", () => {
  const text = `${supply}X1:crystal 1=XO 2=XI; R1:resistor 1=XI 2=XO;
    U1:74LS04 1=XI 2=XO 3=XO 4=CLK 7=GND 14=+5V;
    U2:74LS393 1=CLK 2=GND 3=Q1 4=Q2 5=Q3 6=Q4 7=GND 8=R4 9=R3 10=R2 11=R1 12=GND 13=Q4 14=+5V`;

  it("swing as long as the crystal and its amplifier do", () => {
    const board = new SettledBoard(text);
    expect(board.circuit.unexplained).toEqual([]);
    expect(["XI", "XO", "CLK", "Q1", "Q4", "R4"].map((net) => board.sees(net))).toEqual(
      Array(6).fill("pulsing"),
    );
  });

  it("stand still, with every divider behind them, when the crystal stops", () => {
    const board = new SettledBoard(text);
    board.apply(board.stuck("X1.2", Level.steady));
    expect(["XI", "XO", "CLK", "Q1", "Q4", "R4"].map((net) => board.sees(net))).toEqual(
      Array(6).fill("steady!"),
    );
  });

  it("stop when the amplifier is stuck", () => {
    const board = new SettledBoard(text);
    board.apply(board.stuck("U1.2", Level.low));
    expect(board.sees("XI")).toBe("steady!");
    expect(board.sees("Q4")).toBe("steady!");
  });

  it("of the wrong rate make everything behind them wrong, though it moves", () => {
    const board = new SettledBoard(text);
    board.apply(board.stuck("U1.4", Level.pulsing));
    expect(["CLK", "Q1", "R4"].map((net) => board.sees(net))).toEqual(Array(3).fill("pulsing!"));
  });

  it("come from a crystal at a chip that holds its own oscillator, as long as the chip is supplied", () => {
    const board = new SettledBoard("Y1:crystal 1=XA 2=XB; U1:9918A 39=XA 40=XB 12=GND 33=+5V");
    const sides = (): string[] => ["XA", "XB"].map((net) => board.sees(net));
    expect(sides()).toEqual(["pulsing", "pulsing"]);
    board.apply(board.held("+5V", Level.railAbsent));
    expect(sides()).toEqual(["floating!", "floating!"]);
    board.reset();
    board.apply(board.stuck("Y1.1", Level.steady));
    expect(board.sees("XA")).toBe("steady!");
  });

  it("leave a divider alone that has its own: only what hangs on the dead stage stands still", () => {
    const board = new SettledBoard(text);
    board.apply(board.stuck("U2.6", Level.high));
    expect([board.sees("Q3"), board.sees("Q4"), board.sees("R1")]).toEqual(["pulsing", "high!", "steady!"]);
  });
});

describe("a chip", () => {
  const board = new SettledBoard(`${supply}J1:connector 1=A; U1:74LS04 1=A 2=X 3=X 4=Y 7=GND 14=+5V`);

  it.each([
    ["without supply releases its outputs", Level.railAbsent, "floating!"],
    ["with too low a supply stands still", Level.railLow, "steady!"],
    ["with ripple on its supply moves, but not as it should", Level.railRippled, "pulsing!"],
    ["with too high a supply works while it lives", Level.railHigh, "pulsing"],
  ])("%s", (_, level, expected) => {
    board.apply(board.held("+5V", level));
    expect(board.sees("X")).toBe(expected);
    board.reset();
  });

  it("whose supply pin makes no contact is alone in it", () => {
    board.apply({ kind: "pin", pin: board.pin("U1.14"), value: Level.railAbsent | wrongFlag });
    expect([board.sees("+5V"), board.sees("X")]).toEqual(["good", "floating!"]);
    board.reset();
  });

  it("can be silent, or improper, inside", () => {
    board.apply({ kind: "part", part: board.part("U1"), fault: { silent: true } });
    expect(board.sees("X")).toBe("steady!");
    board.reset().apply({ kind: "part", part: board.part("U1"), fault: { improper: true } });
    expect(board.sees("X")).toBe("pulsing!");
    board.reset();
  });

  it("with an input cut off reads it as open, while the net stays as it was", () => {
    board.apply(board.cut("U1.1"));
    expect([board.sees("A"), board.sees("X"), board.sees("Y")]).toEqual(["pulsing", "low!", "high!"]);
    board.reset();
  });
});
