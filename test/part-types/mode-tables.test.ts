import { describe, expect, it } from "vitest";
import { type Expression, evaluateExpression } from "../../src/core/board/expression.js";
import { behaviourOf, readPartLibrary, typeNamed } from "../support/part-types.js";
import { levelsOfRow, type ModeTable, memoryModes, peripheralModes } from "./mode-tables.js";

const library = readPartLibrary();
const namesOfKind = (kind: string): string[] =>
  library.names().filter((name) => typeNamed(library, name).behaviour.kind === kind);

/** Rows for which the read or write expression says something else, in words. */
function differences(
  table: ModeTable,
  functions: { read: Expression; write?: Expression | undefined },
): string[] {
  return table.rows.flatMap(([levels, mode]) =>
    levelsOfRow(table, levels).flatMap((pattern) => {
      const level = (pin: string): boolean => {
        const found = pattern.get(pin);
        if (found === undefined) throw new RangeError(`the mode table has no pin ${pin}`);
        return found;
      };
      const read = evaluateExpression(functions.read, level);
      const write = functions.write !== undefined && evaluateExpression(functions.write, level);
      const ours = read ? "read" : write ? "write" : "rest";
      return ours === mode ? [] : [`${table.pins} = ${levels}: ${ours}, expected ${mode}`];
    }),
  );
}

describe("memories", () => {
  it("all have a mode table", () => {
    expect(Object.keys(memoryModes).sort()).toEqual(namesOfKind("memory").sort());
  });

  it.each(Object.entries(memoryModes))("%s reads and writes as its mode table says", (name, table) => {
    expect(differences(table, behaviourOf(library, name, "memory"))).toEqual([]);
  });

  it.each(Object.entries(memoryModes))("%s has a mode table without gaps", (_, table) => {
    const covered = table.rows.flatMap(([levels]) => levelsOfRow(table, levels)).length;
    expect(covered).toBe(2 ** table.pins.split(" ").length);
  });

  it.each(namesOfKind("memory"))("%s holds as many bits as its address and data pins select", (name) => {
    const { address, data, strobes } = behaviourOf(library, name, "memory");
    const { complexity } = typeNamed(library, name);
    // A dynamic RAM takes its address in two halves; a register file has an address for reading and one for writing.
    const lines =
      strobes !== undefined ? 2 * address.length : name.endsWith("670") ? address.length / 2 : address.length;
    // The 4416 leaves two of its column addresses unused.
    const used = name === "4416" ? lines - 2 : lines;
    expect(complexity?.bits).toBe(2 ** used * data.length);
  });

  it("only write where there is RAM", () => {
    for (const name of namesOfKind("memory")) {
      const { content, write } = behaviourOf(library, name, "memory");
      expect(write !== undefined, name).toBe(content === "ram");
    }
  });
});

describe("peripherals", () => {
  it("all have a mode table", () => {
    expect(Object.keys(peripheralModes).sort()).toEqual(namesOfKind("peripheral").sort());
  });

  it.each(Object.entries(peripheralModes))("%s reads and writes as its mode table says", (name, table) => {
    expect(differences(table, behaviourOf(library, name, "peripheral"))).toEqual([]);
  });

  it.each(Object.entries(peripheralModes))("%s is selected whenever it transfers", (name, table) => {
    const { select } = behaviourOf(library, name, "peripheral");
    for (const [levels, mode] of table.rows) {
      if (mode === "rest") continue;
      for (const pattern of levelsOfRow(table, levels)) {
        expect(evaluateExpression(select, (pin) => pattern.get(pin) === true)).toBe(true);
      }
    }
  });

  it("report eight port lines for each data bit in turn", () => {
    for (const name of namesOfKind("peripheral")) {
      const { inputs } = behaviourOf(library, name, "peripheral");
      for (const [i, pin] of inputs.entries()) {
        const bit = /^P[ABC]([0-7])$/.exec(pin)?.[1];
        if (bit !== undefined) expect(Number(bit), `${name} ${pin}`).toBe(i % 8);
      }
    }
  });
});
