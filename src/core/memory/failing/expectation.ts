import type { FailingRead } from "./failure-list.js";

/** What a test wrote, as far as its failing reads tell. */
export type Expectation =
  /** One word and its opposite: a march, in which every address holds either at some time. */
  | { readonly kind: "march" }
  /** A word made from the address. */
  | { readonly kind: "pattern"; readonly of: (address: number) => number }
  /** Nothing of the kind. */
  | { readonly kind: "unknown" };

/** Reads that are compared with a pattern, spread over the list. */
const sampled = 512;

/** Patterns that tests often write, as functions of the address; common practice, no source. */
const usualPatterns: readonly ((address: number) => number)[] = [
  (address) => address & 0xff,
  (address) => (address >> 8) & 0xff,
  (address) => (address ^ (address >> 8)) & 0xff,
  (address) => (address + (address >> 8)) & 0xff,
];

/** Recognises what was written from the words expected where reads failed; only the bits of `mask` count. */
export function expectationOf(reads: readonly FailingRead[], mask: number): Expectation {
  const step = Math.max(1, Math.floor(reads.length / sampled));
  const sample = reads.filter((_, k) => k % step === 0);
  const words = [...new Set(sample.map(({ expected }) => expected & mask))];
  const [a, b] = words;
  if (a === undefined) return { kind: "unknown" };
  if (words.length === 1) return { kind: "march" };
  if (words.length === 2 && b !== undefined && (a ^ b) === mask) return { kind: "march" };
  const of = usualPatterns.find((pattern) =>
    sample.every(({ address, expected }) => ((pattern(address) ^ expected) & mask) === 0),
  );
  return of === undefined ? { kind: "unknown" } : { kind: "pattern", of };
}
