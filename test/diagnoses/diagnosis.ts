import type { TypedEntry } from "../support/prepared-board.js";

/**
 * A machine as a restorer would describe it, and where a restorer would then look. Thought out from the circuit, not
 * taken from what the engine says: common practice, no source.
 */
export interface Diagnosis {
  readonly title: string;
  readonly log: readonly TypedEntry[];
  /** At least one of these parts stands among the first `rank` suspects. */
  readonly parts: readonly string[];
  readonly rank: number;
  /** The first of these two is more suspect than the second. */
  readonly ahead?: readonly [string, string];
  /** These sections together hold more of the probability than any other. */
  readonly sections: readonly string[];
  /** Why, in one sentence. */
  readonly why: string;
}

/** Shorthand for entries that diagnoses use often. */
export const seen = {
  ohms: (at: string, ohms: number): TypedEntry => ({ kind: "reading", at, with: "multimeter", ohms }),
  current: (shows: string): TypedEntry => ({ kind: "reading", at: "supply", with: "multimeter", shows }),
  scope: (at: string, shows: string): TypedEntry => ({ kind: "reading", at, with: "oscilloscope", shows }),
  finger: (at: string, shows: string): TypedEntry => ({ kind: "reading", at, with: "finger", shows }),
  removed: (part: string, at: string, shows: "freed" | "unchanged"): TypedEntry => ({
    kind: "removed",
    part,
    at,
    shows,
  }),
  tester: (at: string, shows: string): TypedEntry => ({ kind: "reading", at, with: "chip-tester", shows }),
  characters: (right: string, wrong: string): TypedEntry => ({ kind: "characters", right, wrong }),
} as const;
