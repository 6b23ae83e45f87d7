import { readFileSync } from "node:fs";
import { z } from "zod";
import { circuitNames } from "../support/circuits/read-circuit.js";

const count = z.int();
const bits = z.string().regex(/^[01]+$/);

const dataSchema = z.strictObject({
  /** Name, inputs, outputs, gates, lines, collapsed faults, depth. */
  circuits: z.array(z.tuple([z.enum(circuitNames), count, count, count, count, count, count])),
  /** Vector, outputs seen, minimal diagnoses. */
  c17Diagnoses: z.array(z.tuple([bits, bits, z.array(z.array(z.string()))])),
  c17Faults: z.strictObject({
    distinct: count,
    redundant: count,
    vectorsDetectingEach: z.array(count),
    smallestDetectingSet: count,
    detectingSets: count,
    oneDetectingSet: z.array(bits),
    smallestDiagnosingSet: count,
    diagnosingSets: count,
  }),
  c17Probing: z.strictObject({ cases: count, meanEntropyBits: z.number(), meanProbes: z.number() }),
});

/** The values of this folder. */
export const data = dataSchema.parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));
