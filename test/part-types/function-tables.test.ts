import { describe, expect, it } from "vitest";
import { createRandom } from "../../src/core/base/random.js";
import { evaluateExpression } from "../../src/core/board/expression.js";
import type { PartType } from "../../src/core/board/part-type.js";
import { behaviourOf, pinsOfKind, readPartLibrary, typeNamed } from "../support/part-types.js";
import { type FunctionTable, functionTables, type Output } from "./function-tables.js";

const library = readPartLibrary();
const exhaustiveInputs = 12;
const samples = 5000;
const seed = 74;

/** Input patterns of a type: all of them up to 2^12, else seeded samples. */
function* patterns(inputs: readonly string[]): Iterable<ReadonlyMap<string, boolean>> {
  if (inputs.length <= exhaustiveInputs) {
    for (let n = 0; n < 2 ** inputs.length; n += 1)
      yield new Map(inputs.map((pin, i) => [pin, ((n >> i) & 1) === 1]));
    return;
  }
  const random = createRandom(seed);
  for (let n = 0; n < samples; n += 1) yield new Map(inputs.map((pin) => [pin, random.below(2) === 1]));
}

/** The first pattern for which our functions and the table differ, in words; undefined if there is none. */
function firstDifference(type: PartType, table: FunctionTable): string | undefined {
  const { outputs, enables } = behaviourOf(library, type.type, "logic");
  for (const pattern of patterns(pinsOfKind(type, "in", "bidir"))) {
    const level = (pin: string): boolean => {
      const found = pattern.get(pin);
      if (found === undefined) throw new RangeError(`${type.type} has no input ${pin}`);
      return found;
    };
    const wanted = table(level);
    for (const [name, expression] of Object.entries(outputs)) {
      const enable = enables?.[name];
      const driven = enable === undefined || evaluateExpression(enable, level);
      const ours: Output = driven ? evaluateExpression(expression, level) : "off";
      if (ours === wanted[name]) continue;
      const high = [...pattern].filter(([, isHigh]) => isHigh).map(([pin]) => pin);
      return `${name} is ${ours}, the table says ${wanted[name]}, with high: ${high.join(" ") || "none"}`;
    }
  }
  return undefined;
}

describe("combinational types", () => {
  const combinational = library.names().filter((name) => {
    const { behaviour } = typeNamed(library, name);
    return behaviour.kind === "logic" && behaviour.registers === undefined;
  });

  it("all have a function table", () => {
    expect(Object.keys(functionTables).sort()).toEqual([...combinational].sort());
  });

  it.each(combinational)("%s follows its function table", (name) => {
    const type = typeNamed(library, name);
    const table = functionTables[name] ?? (() => ({}));
    expect(firstDifference(type, table)).toBeUndefined();
    const wanted = Object.keys(table(() => false)).sort();
    expect(Object.keys(behaviourOf(library, name, "logic").outputs).sort()).toEqual(wanted);
  });

  it("would be found wrong with another part's table", () => {
    const { "74LS00": nand, "74LS32": or, "74LS253": off, "74LS157": straight } = functionTables;
    expect(nand && firstDifference(typeNamed(library, "74LS08"), nand)).toBeDefined();
    expect(or && firstDifference(typeNamed(library, "74LS86"), or)).toBeDefined();
    expect(off && firstDifference(typeNamed(library, "74LS153"), off)).toBeDefined();
    expect(straight && firstDifference(typeNamed(library, "74LS258"), straight)).toBeDefined();
  });
});
