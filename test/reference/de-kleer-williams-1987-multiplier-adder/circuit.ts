import { readFileSync } from "node:fs";
import { z } from "zod";
import { expectedInformationBits } from "../../../src/core/inference/information.js";
import type { Observable } from "../../../src/core/inference/observable.js";
import { allCandidates, type Consistency } from "../support/weak-fault-model.js";
import {
  adderRules,
  inverterRules,
  multiplierRules,
  propagate,
  type Rule,
  type Values,
} from "./propagation.js";

const numbersSchema = z.record(z.string(), z.number());
const setsSchema = z.array(z.array(z.string()));
const gateSchema = z.tuple([z.string(), z.string(), z.string(), z.string()]);

const dataSchema = z.strictObject({
  components: z.array(z.string()),
  inputs: numbersSchema,
  multipliers: z.array(gateSchema),
  adders: z.array(gateSchema),
  faultProbability: z.number(),
  possibleValues: z.int(),
  minimalDiagnoses: setsSchema,
  minimalConflicts: setsSchema,
  minimalDiagnosesFromFAlone: setsSchema,
  bestProbe: z.string(),
  states: z.array(
    z.strictObject({
      observed: numbersSchema,
      diagnoses: z.int(),
      posterior: numbersSchema,
      entropyBits: z.number(),
      minimalDiagnoses: setsSchema,
      entropyChangeBits: numbersSchema.optional(),
    }),
  ),
  uniformConvention: z.strictObject({
    observed: numbersSchema,
    posterior: numbersSchema,
    entropyBits: z.number(),
  }),
  inverterChains: z.array(
    z.strictObject({
      name: z.string(),
      faultProbabilities: z.array(z.number()),
      posterior: numbersSchema,
      entropyChangeBits: numbersSchema,
      bestProbe: z.int(),
    }),
  ),
});

/** The inputs and values of this folder. */
export const data = dataSchema.parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));

/** A circuit with what is known of it: components, their rules, and the values at its nodes. */
export interface ObservedCircuit {
  readonly componentCount: number;
  readonly rules: readonly Rule[];
  readonly known: Values;
  /** Values that a node could show if nothing is predicted. */
  readonly possibleValues: number;
}

/** The multipliers and adders with the given observations. */
export function multiplierAdder(observed: Readonly<Record<string, number>>): ObservedCircuit {
  const number = (name: string): number => data.components.indexOf(name);
  return {
    componentCount: data.components.length,
    rules: [
      ...data.multipliers.flatMap(([name, a, b, output]) => multiplierRules(number(name), a, b, output)),
      ...data.adders.flatMap(([name, a, b, output]) => adderRules(number(name), a, b, output)),
    ],
    known: new Map([...Object.entries(data.inputs), ...Object.entries(observed)]),
    possibleValues: data.possibleValues,
  };
}

/** An even number of inverters in a row: node 0 is 1, the last node shows 0 where 1 was expected. */
export function inverterChain(count: number): ObservedCircuit {
  return {
    componentCount: count,
    rules: Array.from({ length: count }, (_, k) => inverterRules(k, `${k}`, `${k + 1}`)).flat(),
    known: new Map([
      ["0", 1],
      [`${count}`, 0],
    ]),
    possibleValues: 2,
  };
}

/** Whether a candidate is contradicted by nothing. */
export function consistencyOf(circuit: ObservedCircuit): Consistency {
  return (faulty) => propagate(circuit.rules, circuit.known, faulty) !== undefined;
}

/**
 * A probe of `node` for all candidates: those that predict a value show it, the others any of the possible values with
 * equal probability. `outcomeOf` gives the outcome that stands for a value; values that nobody predicts come last.
 */
export function probeObservable(
  circuit: ObservedCircuit,
  node: string,
): { observable: Observable; outcomeOf: (value: number) => number } {
  const predictions = allCandidates(circuit.componentCount).map((faulty) =>
    propagate(circuit.rules, circuit.known, faulty)?.get(node),
  );
  const values = [...new Set(predictions.filter((value) => value !== undefined))];
  const outcomeCount = circuit.possibleValues;
  if (values.length > outcomeCount) throw new RangeError(`${values.length} values predicted at ${node}`);
  const codeCount = values.length + 1;
  const likelihood = new Float64Array(codeCount * outcomeCount);
  for (let code = 0; code < values.length; code += 1) likelihood[code * outcomeCount + code] = 1;
  likelihood.fill(1 / outcomeCount, values.length * outcomeCount);
  const codes = Uint8Array.from(predictions, (value) =>
    value === undefined ? values.length : values.indexOf(value),
  );
  return {
    observable: { codes, codeCount, outcomeCount, likelihood },
    outcomeOf: (value) => (values.includes(value) ? values.indexOf(value) : values.length),
  };
}

/** Expected change of the entropy in bits by probing `node`; never positive. */
export function entropyChangeBits(circuit: ObservedCircuit, weights: Float64Array, node: string): number {
  return -expectedInformationBits(weights, probeObservable(circuit, node).observable);
}
