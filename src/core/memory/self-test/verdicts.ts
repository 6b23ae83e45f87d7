import type { Verdict } from "./beacon.js";
import type { SelfTestPlan } from "./plan.js";

/** Every verdict that a self-test of the plan can send. */
export function verdictsOf({ banks }: SelfTestPlan): Verdict[] {
  const bitsOf = (mask: number): number[] => linesOf(mask & 0xff);
  return [
    { kind: "good" },
    ...(banks.length > 1 ? [{ kind: "main-good" } as const] : []),
    { kind: "rom" },
    { kind: "refresh" },
    ...banks.map(({ index }): Verdict => ({ kind: "no-answer", bank: index })),
    ...bitsOf(banks[0]?.bitMask ?? 0).map((bit): Verdict => ({ kind: "data-line", bit })),
    ...banks.flatMap(({ index, bitMask }) =>
      bitsOf(bitMask).map((bit): Verdict => ({ kind: "chip", bank: index, bit })),
    ),
    ...banks.flatMap(({ index, lineMask }) =>
      linesOf(lineMask).map((line): Verdict => ({ kind: "address-line", bank: index, line })),
    ),
  ];
}

/** Numbers of the bits that are set in a mask of 16. */
export function linesOf(mask: number): number[] {
  return Array.from({ length: 16 }, (_, line) => line).filter((line) => ((mask >> line) & 1) === 1);
}
