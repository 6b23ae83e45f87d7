import { describe, expect, it } from "vitest";
import { createRandom, type Random } from "../../base/random.js";
import { type Expression, evaluateExpression, expressionPins } from "../../board/expression.js";
import { pairPlanes } from "./pairs.js";
import { compileExpression, rowFor, runProgram } from "./program.js";

const pinNames = ["A", "B", "C", "D", "E", "F"];

/** A random expression that reads `leaves` pins, each once if `once`, and now and then a constant. */
function randomExpression(random: Random, leaves: number, once: boolean): Expression {
  let next = 0;
  const build = (size: number): Expression => {
    if (size <= 1) {
      const at = once ? next : random.below(pinNames.length);
      next += 1;
      return pinNames[at] ?? false;
    }
    const left = 1 + random.below(size - 1);
    switch (random.below(6)) {
      case 0:
        return ["not", build(size)];
      case 1:
        return ["xor", build(left), build(size - left)];
      case 2:
        return size > 2 && left > 1
          ? ["mux", build(1), build(left - 1), build(size - left)]
          : ["or", random.below(2) === 0, build(size)];
      case 3:
        return ["or", build(left), build(size - left)];
      default:
        return ["and", build(left), build(size - left)];
    }
  };
  return build(leaves);
}

/** Image of the pins' sets under the expression, with pins that are read twice the same both times. */
function exactImage(expression: Expression, sets: ReadonlyMap<string, number>): number {
  const pins = expressionPins(expression);
  let image = 0;
  const choose = (at: number, chosen: ReadonlyMap<string, number>): void => {
    const pin = pins[at];
    if (pin === undefined) {
      const bit = (of: (pair: number) => boolean): number =>
        evaluateExpression(expression, (name) => of(chosen.get(name) ?? 0)) ? 1 : 0;
      image |= 1 << ((bit((pair) => pair > 1) << 1) | bit((pair) => (pair & 1) === 1));
      return;
    }
    for (const pair of [0, 1, 2, 3]) {
      if (((sets.get(pin) ?? 0) >> pair) & 1) choose(at + 1, new Map([...chosen, [pin, pair]]));
    }
  };
  choose(0, new Map());
  return image;
}

/** Runs the expression on one set of pairs a pin, in phase 2 of 3; the other phases hold other sets. */
function run(expression: Expression, sets: ReadonlyMap<string, number>): number {
  const program = compileExpression(expression, pinNames.length, (name) => pinNames.indexOf(name));
  const row = rowFor(pinNames.length, program);
  for (const [i, name] of pinNames.entries()) {
    for (let pair = 0; pair < 4; pair += 1) {
      row[i * pairPlanes + pair] = (((sets.get(name) ?? 1) >> pair) & 1) === 1 ? 0b101 : 0b010;
    }
  }
  const inputs = row.slice(0, pinNames.length * pairPlanes);
  runProgram(program, row);
  expect(row.slice(0, inputs.length), "the inputs stay").toEqual(inputs);
  let result = 0;
  for (let pair = 0; pair < 4; pair += 1) {
    result |= (((row[program.result + pair] ?? 0) >> 2) & 1) << pair;
  }
  return result;
}

const randomSets = (random: Random): Map<string, number> =>
  new Map(pinNames.map((name) => [name, 1 + random.below(15)]));

describe("a compiled expression", () => {
  it("gives the exact image where each pin is read once", () => {
    const random = createRandom(21);
    for (let round = 0; round < 400; round += 1) {
      const expression = randomExpression(random, 1 + random.below(5), true);
      const sets = randomSets(random);
      expect(run(expression, sets), JSON.stringify(expression)).toBe(exactImage(expression, sets));
    }
  });

  it("leaves nothing out where pins are read again", () => {
    const random = createRandom(22);
    let larger = 0;
    for (let round = 0; round < 400; round += 1) {
      const expression = randomExpression(random, 2 + random.below(5), false);
      const sets = randomSets(random);
      const exact = exactImage(expression, sets);
      const found = run(expression, sets);
      expect(found & exact, JSON.stringify(expression)).toBe(exact);
      if (found !== exact) larger += 1;
    }
    // Taking what is read twice for two things is what makes the difference.
    expect(larger).toBeGreaterThan(0);
  });

  it("evaluates like the expression itself where every pin is known", () => {
    const random = createRandom(23);
    for (let round = 0; round < 200; round += 1) {
      const expression = randomExpression(random, 1 + random.below(7), false);
      const high = new Map(pinNames.map((name) => [name, random.below(2) === 1]));
      const sets = new Map(pinNames.map((name) => [name, high.get(name) === true ? 8 : 1]));
      const expected = evaluateExpression(expression, (name) => high.get(name) === true);
      expect(run(expression, sets), JSON.stringify(expression)).toBe(expected ? 8 : 1);
    }
  });

  it("takes as many operands as there are, and constants", () => {
    const all = new Map(pinNames.map((name) => [name, 8]));
    expect(run(["and", "A", "B", "C", "D", "E", "F"], all)).toBe(8);
    expect(run(["and", "A", true, ["not", false]], all)).toBe(8);
    expect(run(false, all)).toBe(1);
    expect(run("C", new Map([...all, ["C", 0b0100]]))).toBe(0b0100);
  });

  it("passes on what its caller says of an unknown pin", () => {
    const refuse = (name: string): number => {
      throw new RangeError(`no pin ${name}`);
    };
    expect(() => compileExpression(["not", "X"], 1, refuse)).toThrow("no pin X");
  });
});
