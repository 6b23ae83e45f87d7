import { describe, expect, it } from "vitest";
import { loadPartTypes } from "../../../../test/boards/support.js";
import { everyMode, loadCircuit, loadFindModel } from "../../../../test/support/board-effects.js";
import { tinyBoard } from "../../../../test/support/tiny-board.js";
import { enumerateFaults } from "../faults/enumerate.js";
import type { Effect } from "../faults/fault.js";
import { buildCircuit } from "../settle/build.js";
import { processorStates } from "../settle/engine.js";
import { isWrong, Level, wrongFlag } from "../settle/value.js";
import { machineObservables } from "./chain.js";
import { buildEffectTable, Cancelled, crashModes, EffectSettler, noState } from "./effect-table.js";

const model = loadFindModel();
const circuit = loadCircuit("merrow");
const { effects } = enumerateFaults(circuit, everyMode);
/** A sample, health first. */
const sample: Effect[] = effects.filter((_, i) => i % 23 === 0);

describe("the effect table", () => {
  const table = buildEffectTable(circuit, sample, model);

  it("has health in its first row: nothing wrong, and running", () => {
    expect(table.firstRow[0]).toBe(0);
    expect(table.firstRow[1]).toBe(1);
    expect(processorStates[table.state[0] ?? -1]).toBe("running");
    expect([...table.nets.subarray(0, table.netCount)].some(isWrong)).toBe(false);
  });

  it("gives each effect rows whose weights sum to one: one, or one for each way of crashing", () => {
    const shares = crashModes(model).map(([, share]) => share);
    for (let e = 0; e < sample.length; e += 1) {
      const weights = [...table.weight.subarray(table.firstRow[e], table.firstRow[e + 1])];
      expect(weights.length === 1 ? [[1]] : [shares]).toContainEqual(weights);
    }
    expect(table.firstRow[sample.length]).toBe(table.rowCount);
    expect(table.nets).toHaveLength(table.rowCount * table.netCount);
    expect(table.machine).toHaveLength(table.rowCount * machineObservables.length);
  });

  it("is the same again, and leaves the board as it was", () => {
    const before = circuit.engine.nets.slice();
    expect(buildEffectTable(circuit, sample, model)).toEqual(table);
    expect(circuit.engine.nets).toEqual(before);
    expect(circuit.engine.processorState).toBe("running");
  });

  it("has in each row what settling that effect alone shows", () => {
    const settler = new EffectSettler(circuit, model);
    for (const [e, effect] of sample.entries()) {
      const states = settler.statesOf(effect);
      for (const [i, [state]] of states.entries()) {
        const row = (table.firstRow[e] ?? 0) + i;
        expect(processorStates[table.state[row] ?? -1]).toBe(state);
        const { seen } = settler.settleRow(effect, state);
        expect(table.nets.subarray(row * table.netCount, (row + 1) * table.netCount)).toEqual(seen);
      }
    }
    settler.release();
  });

  it("can be cancelled, and leaves the board as it was then too", () => {
    const before = circuit.engine.nets.slice();
    const stop = (): boolean => false;
    const many = [...effects.slice(0, 600)];
    expect(() => buildEffectTable(circuit, many, model, stop)).toThrow(Cancelled);
    expect(circuit.engine.nets).toEqual(before);
    expect(circuit.engine.processorState).toBe("running");
  });

  it("tells how far it is, up to the end", () => {
    const seen: number[] = [];
    buildEffectTable(circuit, effects.slice(0, 600), model, (done, total) => {
      seen.push(done / total);
      return true;
    });
    expect(seen.length).toBeGreaterThan(2);
    expect(seen.every((share) => share > 0 && share <= 1)).toBe(true);
  });
});

describe("the effect table of a board without a processor", () => {
  it("runs, and says nothing of what the board has not", () => {
    const board = tinyBoard(
      "PSU1:outside-supply 1=GND 2=+5V; J1:connector 1=A 2=Y; U1:74LS04 1=A 2=Y 7=GND 14=+5V",
    );
    const tiny = buildCircuit(board, loadPartTypes());
    const driver = tiny.engine.drivers.findIndex(({ net }) => tiny.wiring.nets[net] === "Y");
    const stuck: Effect = {
      key: "stuck",
      changes: [{ kind: "driver", driver, value: Level.low | wrongFlag }],
      parts: [],
    };
    const table = buildEffectTable(tiny, [{ key: "", changes: [], parts: [] }, stuck], model);
    expect([...table.state]).toEqual([0, 0]);
    expect(table.nets[table.netCount + (tiny.wiring.netIndex.get("Y") ?? 0)]).toBe(Level.low | wrongFlag);
    const whole = machineObservables.indexOf("whole");
    const views = [0, 1].map((row) =>
      [...table.machine].slice(row * machineObservables.length, (row + 1) * machineObservables.length),
    );
    expect(views[0]?.filter((_, o) => o !== whole).every((code) => code === noState)).toBe(true);
    expect(views.map((view) => view[whole])).toEqual([0, 1]);
  });
});
