/** Rules of the electrical check, in the order in which findings are listed. */
export const ruleIds = [
  "unknown-type",
  "unconnected-supply",
  "wrong-rail",
  "fighting-outputs",
  "undriven-input",
  "open-input",
  "missing-pull-up",
  "missing-decoupling",
  "single-pin-net",
  "accepted-unmatched",
] as const;

export type RuleId = (typeof ruleIds)[number];

/** Something about a board's circuit that is wrong, or at least unusual. */
export interface Finding {
  readonly rule: RuleId;
  /** A pin as `U7.12`, a part as `U7`, or a net. */
  readonly at: string;
  /** One or two sentences: what is wrong and, where it helps, what it should be. */
  readonly message: string;
  readonly severity: "error" | "warning";
  /** Why it is as it should be, if the board's `accepted` entries say so. */
  readonly explained?: string;
}
