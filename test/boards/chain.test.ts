import { describe, expect, it } from "vitest";
import { applyChanges, revertChanges } from "../../src/core/find/faults/change.js";
import { enumerateFaults } from "../../src/core/find/faults/enumerate.js";
import { judgeProcessor } from "../../src/core/find/settle/elements-processor.js";
import { processorStates } from "../../src/core/find/settle/engine.js";
import { levelName } from "../../src/core/find/settle/value.js";
import { type MachineView, machineObservables, machineStates } from "../../src/core/find/table/chain.js";
import { buildEffectTable, noState } from "../../src/core/find/table/effect-table.js";
import { everyMode, loadCircuit, loadFindModel } from "../support/board-effects.js";

const noEffect = { key: "", changes: [], parts: [] };

/** What the user meets, each observable's state by name. */
type Meets = Partial<Record<keyof MachineView, string>>;

/** A board on which single faults, given by id, are looked at. */
class Patient {
  readonly circuit;
  private readonly list;

  constructor(id: string) {
    this.circuit = loadCircuit(id);
    this.list = enumerateFaults(this.circuit, everyMode);
  }

  effectOf(fault: string) {
    const found = this.list.faults.find((other) => other.id === fault);
    const effect = this.list.effects[found?.effect ?? -1];
    if (effect === undefined) throw new RangeError(`there is no fault ${fault}`);
    return effect;
  }

  /** How the processor fares with a fault. */
  processor(fault: string): string | undefined {
    const { engine, processor } = this.circuit;
    const { changes } = this.effectOf(fault);
    const mark = engine.mark();
    applyChanges(engine, changes);
    engine.settle();
    const verdict = processor && judgeProcessor(engine, processor.wiring, processor.reset);
    revertChanges(engine, changes);
    engine.undo(mark);
    return verdict?.outcome;
  }

  /** What the user meets with a fault, once for each way in which the processor may fare. */
  meets(fault: string): (Meets & { readonly state: string })[] {
    const table = buildEffectTable(this.circuit, [noEffect, this.effectOf(fault)], loadFindModel());
    const width = machineObservables.length;
    return Array.from({ length: table.rowCount - 1 }, (_, i) => {
      const row = i + 1;
      const view: Meets = {};
      for (const [o, observable] of machineObservables.entries()) {
        const code = table.machine[row * width + o] ?? noState;
        view[observable] = machineStates[observable][code] ?? "?";
      }
      return { state: processorStates[table.state[row] ?? 0] ?? "?", ...view };
    });
  }
}

const fine: Meets = {
  picture: "normal",
  sound: "beeps",
  keys: "work",
  reaction: "alive",
  "memory-figure": "right",
  tape: "works",
  lamp: "lit",
  whole: "works",
};

/** A machine that shows no memory figure shows no text at all; without that, or without keys, nobody can work with it. */
function wholeOf(differs: Meets): string {
  if (Object.keys(differs).length === 0) return "works";
  return differs["memory-figure"] === "none" || differs.keys === "none" ? "fails" : "impaired";
}

describe("what the user of Pellow 16 meets", () => {
  const pellow = new Patient("pellow-16");

  // Fault, how the processor fares, and where the machine differs from a healthy one.
  it.each<[string, string, string, Meets]>([
    ["a picture bit lost on its way", "U32:output-stuck-low:5", "running", { picture: "some-bits-wrong" }],
    [
      "a memory with a few bad cells",
      "U20:data-bit-lost:some cells",
      "running",
      { picture: "some-cells-wrong", "memory-figure": "less" },
    ],
    [
      "a shift register without its clock",
      "U33:input-open:7",
      "running",
      { picture: "blank-in-border", "memory-figure": "none" },
    ],
    [
      "a shift register that never loads",
      "U33:input-open:15",
      "running",
      { picture: "blank-in-border", "memory-figure": "none" },
    ],
    [
      "a dead shift register",
      "U33:no-output",
      "running",
      { picture: "blank-in-border", "memory-figure": "none" },
    ],
    ["a sync gate stuck", "U40:output-stuck-high:6", "running", { picture: "torn", "memory-figure": "none" }],
    ["no sync in the mixture", "R15:open", "running", { picture: "torn", "memory-figure": "none" }],
    ["no picture in the mixture", "R14:open", "running", { picture: "blank", "memory-figure": "none" }],
    [
      "a border gate that does not reach the mixer",
      "U44:input-open:13",
      "running",
      { picture: "border-lost" },
    ],
    [
      "the picture plug's contact open",
      "J3:contact-open:1",
      "running",
      { picture: "dark", "memory-figure": "none" },
    ],
    ["a key column open at the keyboard", "KB1:contact-open:3", "running", { keys: "some-dead" }],
    ["a key row open at the buffer", "U49:input-open:8", "running", { keys: "some-dead" }],
    ["a key row that reads low", "U49:output-stuck-low:7", "running", { keys: "wrong" }],
    ["the keys never read", "U10:output-stuck-high:11", "running", { keys: "none", reaction: "deaf" }],
    ["the status port never read", "U10:output-stuck-high:10", "running", { tape: "no-signal" }],
    ["a dead tape comparator", "U51:no-output", "running", { tape: "no-signal" }],
    ["the motor transistor dead", "Q3:no-output", "running", { tape: "no-motor" }],
    [
      "the bit that inverts the picture stuck",
      "U45:output-stuck-high:12",
      "running",
      { picture: "inverted" },
    ],
    ["the power lamp open", "D1:open", "running", { lamp: "dark" }],
    ["another lamp open", "D2:open", "running", {}],
    ["the loudspeaker open", "LS1:open", "running", { sound: "silent" }],
    ["a power lamp shorted", "D1:short", "running", { lamp: "dark" }],
    ["a series resistor shorted", "R6:short", "running", {}],
    ["a ROM that drives one line high, for the others to pull low", "U50:output-stuck-high:7", "running", {}],
  ])("with %s", (_, fault, processor, differs) => {
    expect(pellow.processor(fault)).toBe(processor);
    const expected = { ...fine, ...differs };
    const whole = wholeOf(differs);
    expect(pellow.meets(fault)).toEqual([{ state: processor, ...expected, whole }]);
  });

  it("with a start ROM that is dead: nothing ever written to the screen", () => {
    expect(pellow.processor("U15:wrong-content")).toBe("early");
    const rows = pellow.meets("U15:wrong-content");
    expect(rows.map((row) => row.state)).toEqual(["early-halted", "early-looping", "early-wild"]);
    for (const row of rows) {
      expect(row).toMatchObject({
        picture: "never-filled",
        keys: "none",
        reaction: "lifeless",
        whole: "fails",
      });
    }
  });

  it("with the other ROM dead, or a few cells of either: it starts, and then stops", () => {
    for (const fault of ["U16:no-output", "U16:wrong-content", "U15:wrong-content:some cells"]) {
      expect(pellow.processor(fault), fault).toBe("late");
      expect(pellow.meets(fault)[0], fault).toMatchObject({ picture: "stopped-late", reaction: "lifeless" });
    }
  });

  it("with a memory bit lost: it starts, and then stops", () => {
    expect(pellow.processor("U20:data-bit-lost")).toBe("late");
  });

  it("without -5 V, or without +12 V: dead memory, one even field in the border", () => {
    for (const fault of ["VR3:no-output", "C18:short", "VR2:no-output"]) {
      expect(pellow.processor(fault), fault).toBe("late");
      expect(pellow.meets(fault)[0], fault).toMatchObject({
        state: "late-halted",
        picture: "blank-in-border",
        lamp: "lit",
        "memory-figure": "none",
      });
    }
  });

  it("with a decoupling capacitor shorted: no rail, no lamp, nothing", () => {
    expect(pellow.meets("C105:short")).toEqual([
      {
        state: "dead",
        picture: "dark",
        sound: "silent",
        keys: "none",
        reaction: "lifeless",
        "memory-figure": "none",
        tape: "lifeless",
        lamp: "dark",
        whole: "fails",
      },
    ]);
  });

  it("with its reset held: dead; with a reset that never comes: it starts anywhere", () => {
    expect(pellow.processor("U14:output-stuck-low:4")).toBe("dead");
    expect(pellow.processor("U14:output-stuck-high:2")).toBe("dead");
    expect(pellow.processor("U14:output-stuck-high:4")).toBe("early");
    expect(pellow.processor("U14:output-stuck-low:2")).toBe("early");
    expect(pellow.processor("U14:input-open:1")).toBe("early");
  });

  it("with a bus line stuck low: it never starts; stuck high by one chip: only that chip is misread", () => {
    expect(pellow.processor("U16:output-stuck-low:11")).toBe("early");
    expect(pellow.processor("U15:output-stuck-high:11")).toBe("early");
    expect(pellow.processor("U16:output-stuck-high:11")).toBe("late");
  });

  it("with a joint open at a pin that nobody needs: nothing at all", () => {
    expect(pellow.meets("U3:track:track-open:1")).toEqual([{ state: "running", ...fine }]);
  });
});

describe("what the user of Merrow meets", () => {
  const merrow = new Patient("merrow");

  it.each<[string, string, Meets]>([
    ["the tape input alone dead", "U49:output-stuck-high:6", { tape: "no-signal" }],
    ["a key row that the port does not see", "U43:input-open:15", { keys: "wrong" }],
    ["the key columns never chosen", "U47:no-output", { keys: "none", reaction: "deaf" }],
    ["a key select line stuck", "U43:output-stuck-low:27", { keys: "wrong" }],
    ["a dead tape comparator", "U50:no-output", { tape: "no-signal" }],
    ["the inverse bit of the characters stuck", "U39:output-stuck-high:10", { picture: "inverted" }],
  ])("with %s", (_, fault, differs) => {
    const [row] = merrow.meets(fault);
    expect(row).toEqual({ state: "running", ...fine, ...differs, whole: wholeOf(differs) });
  });

  it.each(["U45:no-output", "U44:no-output"])(
    "with a dead serial line (%s): impaired, and nothing to see",
    (fault) => {
      expect(merrow.meets(fault)).toEqual([{ state: "running", ...fine, whole: "impaired" }]);
    },
  );

  it("with a processor that is dead: it does not even refresh", () => {
    const { engine, wiring } = merrow.circuit;
    const rfsh = wiring.netIndex.get("/RFSH") ?? -1;
    const dead = buildEffectTable(
      merrow.circuit,
      [noEffect, merrow.effectOf("X1:no-oscillation")],
      loadFindModel(),
    );
    expect(processorStates[dead.state[1] ?? 0]).toBe("dead");
    expect(levelName(engine.unionOf(rfsh))).toBe("pulsing");
    expect(levelName(dead.nets[dead.netCount + rfsh] ?? 0)).toBe("high");
  });

  it("with a multiplexer that gives no row address: memory that is not refreshed", () => {
    expect(merrow.processor("U11:input-open:2")).toBe("late");
    expect(merrow.processor("U11:input-open:1")).toBe("late");
  });

  it("with the program counter's way into the reset gone", () => {
    expect(merrow.processor("U49:output-stuck-high:4")).toBe("early");
    expect(merrow.processor("D3:short")).toBe("early");
  });
});
