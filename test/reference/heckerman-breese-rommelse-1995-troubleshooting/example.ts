import { readFileSync } from "node:fs";
import { z } from "zod";
import type { RepairAction } from "../../../src/core/inference/repair-order.js";

const orderSchema = z.strictObject({ order: z.array(z.int()), expectedCost: z.number() });

const dataSchema = z.strictObject({
  independent: z.strictObject({
    probabilities: z.array(z.number()),
    costs: z.array(z.number()),
    bestOrder: z.string(),
    bestExpectedCost: z.number(),
    byProbability: orderSchema,
    byCost: orderSchema,
  }),
  dependent: z.strictObject({
    probabilities: z.array(z.number()),
    fixes: z.array(z.array(z.int())),
    cost: z.number(),
    actionProbabilities: z.array(z.number()),
    greedyOrder: z.string(),
    greedyExpectedCost: z.number(),
    bestOrder: z.string(),
    bestExpectedCost: z.number(),
    orders: z.record(z.string(), z.number()),
  }),
});

/** Both examples; faults and repairs are numbered from 1 there. */
export const data = dataSchema.parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));

/** Four repairs, each for a fault of its own. */
export const independentActions: readonly RepairAction[] = data.independent.costs.map((costMinutes, k) => ({
  costMinutes,
  fixes: [k],
}));

/** Three repairs that share faults. */
export const dependentActions: readonly RepairAction[] = data.dependent.fixes.map((fixes) => ({
  costMinutes: data.dependent.cost,
  fixes: fixes.map((fault) => fault - 1),
}));

/** An order of indices in the numbering of the data. */
export function renderOrder(order: readonly number[]): string {
  return order.map((index) => index + 1).join(" ");
}

/** An order in the numbering of the data as indices. */
export function parseOrder(text: string): number[] {
  return text.split(" ").map((number) => Number(number) - 1);
}
