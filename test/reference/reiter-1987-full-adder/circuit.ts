import { readFileSync } from "node:fs";
import { z } from "zod";
import { isFaulty } from "../support/weak-fault-model.js";

const setsSchema = z.array(z.array(z.string()));

const dataSchema = z.strictObject({
  gates: z.array(z.tuple([z.string(), z.enum(["xor", "and", "or"]), z.string(), z.string(), z.string()])),
  observed: z.record(z.string(), z.union([z.literal(0), z.literal(1)])),
  minimalConflicts: setsSchema,
  minimalDiagnoses: setsSchema,
  diagnoses: z.int(),
});

/** The circuit, the observations and the values of this folder. */
export const data = dataSchema.parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));

/** The names of the gates; gate k is bit k of a candidate. */
export const gateNames: readonly string[] = data.gates.map(([name]) => name);

/** Exact: whether some values of the unobserved nodes satisfy every gate outside `faulty`. */
export function consistent(faulty: number): boolean {
  const nodes = new Set(data.gates.flatMap(([, , a, b, output]) => [a, b, output]));
  const hidden = [...nodes].filter((node) => data.observed[node] === undefined);
  for (let assignment = 0; assignment < 2 ** hidden.length; assignment += 1) {
    const levelOf = (node: string): number => data.observed[node] ?? (assignment >> hidden.indexOf(node)) & 1;
    const satisfied = data.gates.every(
      ([, kind, a, b, output], k) =>
        isFaulty(faulty, k) || levelOf(output) === gateValue(kind, levelOf(a), levelOf(b)),
    );
    if (satisfied) return true;
  }
  return false;
}

function gateValue(kind: "xor" | "and" | "or", a: number, b: number): number {
  return kind === "xor" ? a ^ b : kind === "and" ? a & b : a | b;
}
