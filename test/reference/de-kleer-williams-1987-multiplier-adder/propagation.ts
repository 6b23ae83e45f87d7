/** Values of named nodes. */
export type Values = ReadonlyMap<string, number>;

/** One component: what it says about a node once the values of others are known. */
export interface Rule {
  readonly component: number;
  readonly from: readonly string[];
  readonly to: string;
  readonly value: (from: readonly number[]) => number;
}

/**
 * Everything that follows from `known` when the components outside the bit set `faulty` are healthy, or undefined if two
 * different values follow for one node. Rules are used until nothing new follows.
 */
export function propagate(rules: readonly Rule[], known: Values, faulty: number): Values | undefined {
  const values = new Map(known);
  for (let changed = true; changed; ) {
    changed = false;
    for (const rule of rules) {
      if (((faulty >> rule.component) & 1) === 1) continue;
      const from = rule.from.flatMap((name) => values.get(name) ?? []);
      if (from.length < rule.from.length) continue;
      const value = rule.value(from);
      const present = values.get(rule.to);
      if (present === value) continue;
      if (present !== undefined) return undefined;
      values.set(rule.to, value);
      changed = true;
    }
  }
  return values;
}

const sum = (from: readonly number[]): number => from.reduce((a, b) => a + b, 0);
const product = (from: readonly number[]): number => from.reduce((a, b) => a * b, 1);
const difference = ([a = 0, b = 0]: readonly number[]): number => a - b;
const inverse = ([a = 0]: readonly number[]): number => 1 - a;

/** Forwards only: the inputs of the multipliers are given. */
export function multiplierRules(component: number, a: string, b: string, output: string): Rule[] {
  return [{ component, from: [a, b], to: output, value: product }];
}

/** Forwards and back to either term. */
export function adderRules(component: number, a: string, b: string, output: string): Rule[] {
  return [
    { component, from: [a, b], to: output, value: sum },
    { component, from: [output, a], to: b, value: difference },
    { component, from: [output, b], to: a, value: difference },
  ];
}

/** Forwards and back. */
export function inverterRules(component: number, input: string, output: string): Rule[] {
  return [
    { component, from: [input], to: output, value: inverse },
    { component, from: [output], to: input, value: inverse },
  ];
}
