import { describe, expect, it } from "vitest";
import { loadBoard } from "../../../app/load-board.js";
import { openStore } from "../../../store/store.js";
import { generateSelfTest } from "./generate.js";
import { planSelfTest } from "./plan.js";
import { verifySelfTest } from "./verify.js";

const store = openStore();

function prepared(name: string, from: number) {
  const { value: loaded } = loadBoard(store, name);
  if (loaded === undefined) throw new Error(`${name} is not sound`);
  const plan = planSelfTest(loaded.board, loaded.types, { ranges: [{ from, to: from + 0x1ff }] }).value;
  if (plan === undefined) throw new Error(`${name} has no plan`);
  return { loaded, plan };
}

describe("the trials of a self-test", () => {
  it("pass for both processors, and wait less than the image", () => {
    for (const [name, from] of [
      ["merrow", 0x2000],
      ["pellow-16", 0],
    ] as const) {
      const { loaded, plan } = prepared(name, from);
      const { passed, waits, trials } = verifySelfTest(loaded, plan, generateSelfTest(plan));
      expect(trials.map(({ expected, verdicts }) => [expected, verdicts.map(({ kind }) => kind)])).toEqual([
        ["no-answer", ["no-answer"]],
        ["rom", ["rom"]],
        ["good", ["good"]],
      ]);
      expect([name, passed, waits.unitSeconds < plan.unitSeconds]).toEqual([name, true, true]);
    }
  });

  it("fail for an image that is not the one that was run", () => {
    const { loaded, plan } = prepared("merrow", 0x2000);
    const image = generateSelfTest(plan);
    const rows = image.rows.map((row, k) => (k === 200 ? { ...row, source: "nop" } : row));
    expect(verifySelfTest(loaded, plan, { ...image, rows }).passed).toBe(false);
  });

  it("fail where the board cannot hear the beacon", () => {
    const { loaded, plan } = prepared("merrow", 0x2000);
    const deaf = { ...plan, bus: { ...plan.bus, address: 0x20 } };
    const { passed, trials } = verifySelfTest(loaded, deaf, generateSelfTest(deaf), undefined, 5e6);
    expect([passed, trials.every(({ verdicts }) => verdicts.length === 0)]).toEqual([false, true]);
  });
});
