import type { FailureModeId } from "../../board/failure-mode.js";

/** Kinds of causes, each with its weight before anything is seen and what counts against it. */
export interface CauseKind {
  /** How often it is the cause, in proportion. Common practice, no source. */
  readonly weight: number;
  /**
   * How much it speaks against the cause that cells it would spoil were good: 0 for a cause that spoils any few cells,
   * high for one that spoils all it reaches. Own estimate.
   */
  readonly missing: number;
}

/**
 * The kinds of causes. Single chips lead because chips fail most; what is shared by all chips fails seldom, but then it
 * explains everything at once.
 */
export const causeKinds = {
  "chip-bit": { weight: 10, missing: 6 },
  "chip-bits": { weight: 4, missing: 5 },
  "chip-row": { weight: 1.5, missing: 5 },
  "chip-column": { weight: 1.5, missing: 5 },
  "chip-cells": { weight: 0.4, missing: 0 },
  "chip-address-pin": { weight: 0.6, missing: 8 },
  "two-addresses": { weight: 0.5, missing: 0 },
  "chip-refresh": { weight: 0.8, missing: 4 },
  "address-line": { weight: 2, missing: 8 },
  "address-input": { weight: 1.2, missing: 8 },
  "address-lines-short": { weight: 0.8, missing: 10 },
  "address-line-some": { weight: 1.5, missing: 14 },
  "row-strobe": { weight: 1.5, missing: 10 },
  "column-strobe": { weight: 1.5, missing: 10 },
  write: { weight: 1.2, missing: 8 },
  "refresh-rows": { weight: 0.5, missing: 5 },
  "refresh-none": { weight: 0.5, missing: 5 },
  "data-buffer": { weight: 1.5, missing: 8 },
  "data-line": { weight: 1, missing: 5 },
  "two-chips": { weight: 0.2, missing: 5 },
} as const satisfies Record<string, CauseKind>;

export type CauseKindId = keyof typeof causeKinds;

/** A part that an explanation names. */
export interface NamedPart {
  readonly part: string;
  /** Pin numbers; empty if the whole part is meant. */
  readonly pins: readonly string[];
  readonly failureMode: FailureModeId;
  /** How likely this part is, in proportion to the other parts of the explanation. Common practice, no source. */
  readonly weight: number;
  /** What it has to do with it, in a few words. */
  readonly why: string;
}

/** What a cause concerns, as far as it is a place: for drawing it. */
export interface CauseSubject {
  readonly dataBits?: readonly number[];
  /** Level that the cells give, where they give one only. */
  readonly level?: 0 | 1;
  readonly row?: number;
  readonly column?: number;
  /** Processor address lines that make no difference any more. */
  readonly addressLines?: readonly number[];
}

/** A cause, with what it would spoil and how much of that was seen. */
export interface Cause {
  readonly kind: CauseKindId;
  /** What is wrong, one sentence without a full stop. */
  readonly title: string;
  readonly parts: readonly NamedPart[];
  /** Failing cells that it explains. */
  readonly explained: number;
  /** Cells among those tested that it would spoil. */
  readonly spoiled: number;
  /** What the read values add: above zero for, below against. Natural logarithm of odds; own estimate. */
  readonly values: number;
  readonly about?: CauseSubject;
}

/** A cause with its place among the others. */
export interface Explanation extends Cause {
  /** Share of this explanation among all that were considered. */
  readonly share: number;
  /** Failing cells that it leaves unexplained. */
  readonly unexplained: number;
  /** Cells it would spoil that were good, as far as tested. */
  readonly good: number;
}

/** How much it speaks against a cause that all failing cells lie outside of it. Own estimate. */
const unexplainedPenalty = 16;

/** Explanations kept. */
export const maximumExplanations = 12;

const smallestShare = 0.001;

/**
 * Ranks causes: the logarithm of a cause's weight, less a penalty for the share of the failing cells that it leaves
 * unexplained and for the share of its own cells that were good, plus what the read values say; shares are the
 * exponentials of that, normalised. Shares are a ranking, not probabilities. The best first, equal ones by title.
 */
export function rankCauses(causes: readonly Cause[], failingCells: number): Explanation[] {
  const scores = causes.map(({ kind, explained, spoiled, values }) => {
    const { weight, missing } = causeKinds[kind];
    const left = (failingCells - explained) / failingCells;
    const good = spoiled === 0 ? 0 : Math.max(0, spoiled - explained) / spoiled;
    return Math.log(weight) - unexplainedPenalty * left - missing * good + values;
  });
  const best = Math.max(...scores);
  const raw = scores.map((score) => Math.exp(score - best));
  const total = raw.reduce((sum, value) => sum + value, 0);
  return causes
    .map((cause, k) => ({
      ...cause,
      share: (raw[k] ?? 0) / total,
      unexplained: failingCells - cause.explained,
      good: Math.max(0, cause.spoiled - cause.explained),
    }))
    .filter(({ share }) => share >= smallestShare)
    .sort((a, b) => b.share - a.share || (a.title < b.title ? -1 : 1))
    .slice(0, maximumExplanations);
}
