import { z } from "zod";
import { type FaultClass, faultClasses } from "../../core/memory/faults/fault.js";
import type { SimulatedMarch } from "../memory-simulate.js";

/** What `boardwake memory simulate --json` prints: for each class of faults how many are caught, and how many there are. */
export const simulateOutputSchema = z.record(z.enum(faultClasses), z.tuple([z.int(), z.int()]));

/** Output of a simulation. */
export function simulateOutput({ classes }: SimulatedMarch): Partial<Record<FaultClass, [number, number]>> {
  const output: Partial<Record<FaultClass, [number, number]>> = {};
  for (const { faultClass, detected, total } of classes) output[faultClass] = [detected, total];
  return output;
}
