import { describe, expect, it } from "vitest";
import { type Expression, evaluateExpression } from "../../../src/core/board/expression.js";
import { parseEquations } from "../../../src/core/board/logic/equations.js";
import { logicOfFuses } from "../../../src/core/board/logic/fuse-logic.js";
import { parseFuseFile } from "../../../src/core/board/logic/jedec.js";
import { expectRows } from "../support/expect-rows.js";
import { data, fusesOf, referenceRows, textOf } from "./rows.js";

function equation(text: string): Expression {
  const [cell] = parseEquations(`19 = ${text}`).value ?? [];
  if (cell === undefined) throw new Error(`not read: ${text}`);
  return cell.level;
}

/** Compares two functions of pins for every combination of the pins that are used. */
function expectEqual(one: Expression, other: Expression, pins: readonly string[]): void {
  for (let code = 0; code < 2 ** pins.length; code += 1) {
    const levelOf = (pin: string): boolean => ((code >> pins.indexOf(pin)) & 1) === 1;
    expect(evaluateExpression(one, levelOf), `inputs ${code.toString(2)}`).toBe(
      evaluateExpression(other, levelOf),
    );
  }
}

describe("fuse files", () => {
  expectRows(referenceRows);

  it("whose closing sum is another are read with a warning", () => {
    const spoilt = textOf({ ...data.sequential, fileSum: "1234" });
    expect(parseFuseFile(spoilt).problems.map(({ code }) => code)).toEqual(["file-sum"]);
  });
});

describe("fuses of a GAL16V8", () => {
  it("say what the equations say: registers and their feedback", () => {
    const cells = logicOfFuses("GAL16V8", fusesOf(textOf(data.sequential)));
    for (const [pin, sum] of Object.entries(data.sequential.sums)) {
      const cell = cells.find((one) => one.pin === Number(pin));
      expect(cell?.isRegistered, pin).toBe(Number(pin) >= 16);
      expectEqual(cell?.level ?? false, ["not", equation(sum)], ["2", "16", "17", "18"]);
    }
  });

  it("say what the equations say: gates alone", () => {
    const cells = logicOfFuses("GAL16V8", fusesOf(textOf(data.combinational)));
    for (const [pin, level] of Object.entries(data.combinational.levels))
      expectEqual(cells.find((one) => one.pin === Number(pin))?.level ?? false, equation(level), [
        "2",
        "3",
        "4",
      ]);
  });
});
