import { createHash } from "node:crypto";
import { describe, expect, it } from "vitest";
import { processorStates } from "../../src/core/find/settle/engine.js";
import { machineObservables, machineStates } from "../../src/core/find/table/chain.js";
import type { EffectTable } from "../../src/core/find/table/effect-table.js";
import { settleBoard } from "../support/board-effects.js";

/** A table in few lines: its size, how often each state occurs, and a hash of every cell. */
function describeTable(table: EffectTable, effectCount: number): string {
  const hash = createHash("sha256")
    .update(table.nets)
    .update(table.machine)
    .update(table.state)
    .digest("hex");
  const count = (list: Uint8Array, code: number, first: number, step: number): number => {
    let found = 0;
    for (let i = first; i < list.length; i += step) if (list[i] === code) found += 1;
    return found;
  };
  const lines = [
    `effects ${effectCount}, rows ${table.rowCount}, nets ${table.netCount}`,
    ...processorStates.map((state, code) => `processor ${state}: ${count(table.state, code, 0, 1)} rows`),
  ];
  for (const [o, observable] of machineObservables.entries()) {
    for (const [code, state] of machineStates[observable].entries()) {
      const rows = count(table.machine, code, o, machineObservables.length);
      lines.push(`${observable} ${state}: ${rows} rows`);
    }
  }
  return `${[...lines, `sha256 of all cells ${hash}`].join("\n")}\n`;
}

// The files hold what the settling gave when it was last looked at. A change there must be meant: update with
// `npx vitest run test/boards/effect-table.test.ts -u` and say why in the commit.
describe.each(["pellow-16", "merrow"])("the effect table of %s", (id) => {
  it("is, to the last cell, the one that was looked at", async () => {
    const { list, table } = settleBoard(id);
    const text = describeTable(table, list.effects.length);
    await expect(text).toMatchFileSnapshot(`./tables/${id}.txt`);
  });
});
