import { describe, expect, it } from "vitest";
import { everyMode } from "../../../../test/support/board-effects.js";
import { phasesOf, SettledBoard } from "../../../../test/support/settled-board.js";
import type { Board } from "../../board/board.js";
import type { FailureModeId } from "../../board/failure-mode.js";
import { enumerateFaults, type ModeOdds } from "./enumerate.js";

const supply = "PSU1:outside-supply 1=GND 2=+5V; ";

/** Ids of the faults of a board's own parts, of certain modes only, and what the board shows with each. */
function look(
  text: string,
  modes: readonly FailureModeId[],
  nets: readonly string[],
  more: Partial<Board> = {},
) {
  const board = new SettledBoard(supply + text, more);
  const list = enumerateFaults(board.circuit, everyMode);
  return Object.fromEntries(
    list.faults
      .filter((fault) => modes.includes(fault.mode) && !/^(PSU|J)/.test(fault.id))
      .map((fault) => {
        board.apply(...(list.effects[fault.effect]?.changes ?? []));
        const seen = nets.map((net) => board.sees(net)).join(", ");
        board.reset();
        return [fault.id, seen];
      }),
  );
}

describe("the list of faults", () => {
  const text =
    "J1:connector 1=A 2=B; U1:74LS00 1=A 2=B 3=X 7=GND 14=+5V; R1:resistor 1=X 2=Y; U2:74LS04 1=Y 2=Z 7=GND 14=+5V";

  it("begins with health, gives each fault an id of its own, and equal changes one effect", () => {
    const { circuit } = new SettledBoard(supply + text);
    const { effects, faults } = enumerateFaults(circuit, everyMode);
    expect(effects[0]).toEqual({ key: "", changes: [], parts: [] });
    expect(new Set(faults.map((fault) => fault.id)).size).toBe(faults.length);
    expect(new Set(effects.map((effect) => effect.key)).size).toBe(effects.length);
    expect(faults.every((fault) => fault.effect > 0 && fault.effect < effects.length)).toBe(true);
    expect(enumerateFaults(circuit, everyMode)).toEqual({ effects, faults });
  });

  it("spreads the odds of a mode over the places where it can strike", () => {
    const { circuit } = new SettledBoard(supply + text);
    const { faults } = enumerateFaults(circuit, everyMode);
    const own = faults.filter((fault) => fault.id.startsWith("U1:input-open:"));
    expect(own.map((fault) => fault.odds)).toEqual([0.5, 0.5]);
  });

  it("keeps what shows always, warm, and now and then apart, and leaves out what cannot be", () => {
    const { circuit } = new SettledBoard(supply + text);
    const slow: ModeOdds = { mode: "slow", odds: { permanent: 0, "warm-only": 2, intermittent: 1 } };
    const { faults } = enumerateFaults(circuit, {
      ofPart: () => [slow],
      ofSocketPin: () => [],
      ofJoint: () => [],
      ofBridge: () => [],
    });
    expect(faults.map((fault) => [fault.id, fault.odds])).toEqual([
      ["U1:slow:warm-only", 2],
      ["U1:slow:intermittent", 1],
      ["U2:slow:warm-only", 2],
      ["U2:slow:intermittent", 1],
    ]);
  });

  it("has no joint at a pin that is open, and none that explains anything at a pin nobody needs", () => {
    const seen = look(text, ["track-open"], ["X", "Y", "Z"]);
    expect(Object.keys(seen)).not.toContain("U1:track:track-open:4");
    expect(seen["U1:track:track-open:3"]).toBe("floating!, floating!, low!");
    expect(seen["U2:track:track-open:2"]).toBe("pulsing, pulsing, floating!");
  });

  it("bridges neighbours along one row of a package, not across its ends", () => {
    const seen = look(text, ["bridge"], ["X"]);
    expect(Object.keys(seen).filter((id) => id.startsWith("U1:"))).toEqual([
      "U1:bridge:bridge:1-2",
      "U1:bridge:bridge:2-3",
    ]);
  });
});

describe("faults of parts", () => {
  it("a transistor open drives nothing, shorted it ties its collector to its emitter", () => {
    const seen = look(
      "J1:connector 1=A; U1:74LS04 1=A 2=B 7=GND 14=+5V; Q1:transistor-npn 1=GND 2=B 3=C; R1:resistor 1=C 2=+5V",
      ["open", "short"],
      ["C"],
    );
    expect(seen).toMatchObject({ "Q1:open": "high!", "Q1:short": "low!" });
  });

  it("a resistor open, shorted or drifted: in series with a digital input only open matters", () => {
    const seen = look(
      "J1:connector 1=A; U1:74LS04 1=A 2=X 7=GND 14=+5V; R1:resistor 1=X 2=Y; U2:74LS04 1=Y 2=Z 7=GND 14=+5V",
      ["open", "short", "parameter-change"],
      ["Y", "Z"],
    );
    expect(seen).toEqual({ "R1:open": "floating!, low!", "R1:short": "pulsing, pulsing" });
  });

  it("a decoupling capacitor open is nothing to be found, shorted it takes the rail", () => {
    const seen = look(
      "J1:connector 1=A; C1:capacitor-ceramic 1=+5V 2=GND; U1:74LS04 1=A 2=X 7=GND 14=+5V",
      ["open", "short", "parameter-change"],
      ["+5V", "X"],
    );
    expect(seen).toEqual({ "C1:short": "absent!, floating!" });
  });

  it("a fuse open leaves what it feeds without supply, and what feeds it with", () => {
    const seen = look(
      "F1:fuse 1=+5V 2=+4.9V; J1:connector 1=A; U1:74LS04 1=A 2=X 7=GND 14=+4.9V",
      ["open"],
      ["+5V", "+4.9V", "X"],
    );
    expect(seen).toEqual({ "F1:open": "good, absent!, floating!" });
  });

  it("a crystal's resistor open stops it, a crystal's wrong rate makes all behind it wrong", () => {
    const seen = look(
      "X1:crystal 1=XO 2=XI; R1:resistor 1=XI 2=XO; U1:74LS04 1=XI 2=XO 3=XO 4=CLK 7=GND 14=+5V",
      ["open", "no-oscillation", "off-frequency"],
      ["CLK"],
    );
    expect(seen).toMatchObject({
      "R1:open": "steady!",
      "X1:no-oscillation": "steady!",
      "X1:off-frequency": "pulsing!",
    });
  });

  it("a key stuck joins a driven line with a sensed one; contacts of the keyboard touch their neighbours", () => {
    const seen = look(
      `J1:connector 1=A 2=B; U1:74LS05 1=A 2=C0 3=B 4=C1 7=GND 14=+5V; RN1:resistor-network 1=+5V 2=C0 3=C1 4=R0 5=R1;
       KB1:keyboard 1=C0 2=C1 3=R0 4=R1; U2:74LS04 1=R0 2=X 3=R1 4=Y 7=GND 14=+5V`,
      ["stuck-key", "contact-short"],
      ["R0", "R1"],
      {
        phases: phasesOf({ A: "high", B: "low" }, { A: "low", B: "high" }),
        chain: { memoryFigure: false, keys: { drive: ["C0", "C1"], sense: ["R0", "R1"] } },
      },
    );
    expect(seen["KB1:stuck-key:C0 and R0"]).toBe("pulsing!, high");
    expect(seen["KB1:stuck-key:C1 and R1"]).toBe("high, pulsing!");
    expect(Object.keys(seen).filter((id) => id.startsWith("KB1:stuck-key"))).toHaveLength(4);
    expect(seen["KB1:contact-short:2-3"]).toBe("pulsing!, high");
  });

  it("a shorted rectifier, a supply too low, too high or rippled", () => {
    const seen = look(
      "T1:transformer 1=P1 2=P2 3=AC 4=GND; D1:rectifier-diode 1=RAW 2=AC; VR1:7805 1=RAW 2=GND 3=OUT",
      ["short", "output-low", "rippled"],
      ["OUT"],
      {
        rails: [
          { net: "AC", nominalVolt: 8, tolerancePercent: 20, raw: true },
          { net: "RAW", nominalVolt: 9, tolerancePercent: 20, raw: true },
          { net: "OUT", nominalVolt: 5, tolerancePercent: 5 },
          { net: "+5V", nominalVolt: 5, tolerancePercent: 5 },
        ],
      },
    );
    expect(seen["D1:short:RAW"]).toBe("absent!");
    expect(seen["VR1:output-low:OUT"]).toBe("too low!");
    expect(seen["VR1:rippled:OUT"]).toBe("rippled!");
  });
});
