import type { Board } from "../board.js";

/** A fact from the bench: two pins that were tried for continuity with the power off. */
export interface ConnectionFact {
  /** Number of the log entry it stands in; facts are given in the order of their numbers. */
  readonly entry: number;
  /** Pin as `U4.7`. */
  readonly from: string;
  readonly to: string;
  readonly shows: "rings" | "open";
}

/** What a fact, or several together, did to the board. */
export interface GrowthChange {
  readonly kind: "joined" | "added" | "left" | "confirmed";
  /** Entries it rests on. */
  readonly entries: readonly number[];
  /** One sentence. */
  readonly says: string;
}

/** Facts that cannot hold together; the newest of them changes nothing until one of them is struck out. */
export interface Contradiction {
  /** The entry that was left out. */
  readonly entry: number;
  /** Entries it contradicts, oldest first; empty if it contradicts the board's supplies alone. */
  readonly against: readonly number[];
  readonly says: string;
}

/** Splits `U4.7` at its last dot; undefined for a name without one. */
export function splitPin(pin: string): { readonly ref: string; readonly number: string } | undefined {
  const dot = pin.lastIndexOf(".");
  return dot <= 0 ? undefined : { ref: pin.slice(0, dot), number: pin.slice(dot + 1) };
}

/** Net of every pin that has one, by `U4.7`. */
export function netsByPin(board: Board): Map<string, string> {
  return new Map(
    board.parts.flatMap(({ ref, pins }) =>
      Object.entries(pins).map(([number, net]) => [`${ref}.${number}`, net] as const),
    ),
  );
}

/** Words for a list of entries: `entry 7`, `entries 7 and 9`. */
export function entryWords(entries: readonly number[]): string {
  const last = entries.at(-1);
  if (last === undefined || entries.length === 1) return `entry ${last ?? "?"}`;
  return `entries ${entries.slice(0, -1).join(", ")} and ${last}`;
}
