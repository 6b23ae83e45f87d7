import type { MemoryRegion } from "../board.js";
import type { BusTarget } from "./bus-targets.js";
import type { Guess } from "./guess.js";

/** Memory regions of a board, with the reasons. */
export interface MemoryGuess {
  readonly regions: MemoryRegion[];
  readonly guesses: readonly Guess[];
}

// The board schema writes addresses with six hexadecimal digits at most.
const highestAddress = 0xffffff;

/** One region for each row of memory chips whose data bits are known; its addresses are those found to select it, else its size. */
export function guessMemory(
  targets: readonly BusTarget[],
  ranges: ReadonlyMap<BusTarget, { from: number; to: number }>,
): MemoryGuess {
  const regions: MemoryRegion[] = [];
  const guesses: Guess[] = [];
  for (const target of targets) {
    if (target.kind === "peripheral") continue;
    const chips = target.chips.filter((chip) => chip.bits.length > 0);
    const first = chips[0]?.typed.part.ref;
    if (first === undefined) continue;
    const range = ranges.get(target) ?? { from: 0, to: target.words - 1 };
    const from = Math.min(range.from, highestAddress);
    const to = Math.min(range.to, highestAddress);
    const refs = chips.length === 1 ? first : `${first} to ${chips.at(-1)?.typed.part.ref}`;
    const number = regions.filter((region) => region.kind === target.kind).length + 1;
    regions.push({
      id: `${target.kind}-${number}`,
      title: `${target.kind.toUpperCase()} ${refs}`,
      kind: target.kind,
      from: hexadecimal(from),
      to: hexadecimal(to),
      space: "memory",
      chips: chips.map(({ typed, bits }) => ({ part: typed.part.ref, bits: [...bits] })),
    });
    const known = ranges.has(target)
      ? "the addresses are those that select it"
      : "the addresses are its size, its place is not known";
    guesses.push({
      subject: refs,
      taken: `memory region ${target.kind}-${number}`,
      reason: `its data pins are on one bus; ${known}`,
      certainty: "likely",
    });
  }
  return { regions, guesses };
}

function hexadecimal(address: number): string {
  return address.toString(16).toUpperCase().padStart(4, "0");
}
