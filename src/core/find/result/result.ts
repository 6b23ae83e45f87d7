import type { Problem } from "../../base/problem.js";
import type { FailureModeId, Manifestation } from "../../board/failure-mode.js";
import type { FaultSite } from "../faults/fault.js";
import type { RepairCost, RepairKind } from "../plan/costs.js";

/** One way in which a suspect may be bad. */
export interface SuspectMode {
  readonly mode: FailureModeId;
  readonly meaning: string;
  readonly site: FaultSite;
  /** Pin, bit or line; empty if the whole part. */
  readonly detail: string;
  readonly manifestation: Manifestation;
  readonly probability: number;
}

/** One log entry's weight for or against a suspect. */
export interface EvidenceWeight {
  readonly entry: number;
  readonly label: string;
  /** Logarithm to base 2 of how much likelier the entry is if the suspect is at fault than if it is not. */
  readonly bits: number;
  /** In plain words. */
  readonly says: string;
}

/** What a part's prior rate is made of; `totalPerMillionHours` is the product. Only ratios between parts mean anything. */
export interface SuspectPrior {
  /** Rate after MIL-HDBK-217F Notice 2. */
  readonly handbookPerMillionHours: number;
  readonly handbookSection: string;
  /** Factors of the trade and of age; common practice, no source. */
  readonly trade: number;
  readonly age: number;
  /** Factor from counted repair histories, as weak evidence. */
  readonly field: number;
  readonly events: number;
  /** Factor from the bench's own closed jobs, or set for this job. */
  readonly ownJobs: number;
  readonly totalPerMillionHours: number;
}

export interface Suspect {
  readonly part: string;
  readonly type: string;
  readonly title: string;
  readonly section: string;
  readonly socketed: boolean;
  /** Chance that this part, its socket or its joints are at fault now. */
  readonly probability: number;
  readonly modes: readonly SuspectMode[];
  /** The prior of the part itself; its socket, joints and bridges have priors of their own. */
  readonly prior: SuspectPrior | null;
  readonly evidence: readonly EvidenceWeight[];
  readonly repair: RepairKind;
  readonly repairCost: RepairCost;
}

/** Faults that no reading from outside can tell apart. */
export interface SuspectGroup {
  readonly probability: number;
  readonly members: readonly {
    readonly part: string;
    readonly mode: FailureModeId;
    readonly site: FaultSite;
    readonly detail: string;
    readonly probability: number;
  }[];
  readonly parts: readonly string[];
}

/** One outcome of a proposed step. */
export interface OutcomeForecast {
  readonly shows: string;
  readonly probability: number;
  /** Leading suspects if this is the outcome. */
  readonly leads: readonly { readonly part: string; readonly probability: number }[];
  readonly means: string;
}

export type NextStep =
  | {
      readonly action: "gate";
      readonly id: "supply";
      readonly minutes: number;
      readonly instruction: string;
      readonly cautions: readonly string[];
    }
  | {
      readonly action: "reading";
      readonly id: string;
      readonly at: string;
      readonly with: string;
      readonly powered: boolean;
      readonly minutes: number;
      readonly instruction: string;
      readonly informationBits: number;
      readonly expectedMinutes: number;
      readonly outcomes: readonly OutcomeForecast[];
    }
  | {
      readonly action: "repair";
      readonly id: string;
      readonly part: string;
      readonly repair: RepairKind;
      readonly minutes: number;
      readonly money: number;
      readonly riskMinutes: number;
      readonly effort: RepairCost["effort"];
      readonly instruction: string;
      readonly cautions: readonly string[];
      readonly informationBits: number;
      readonly expectedMinutes: number;
      readonly outcomes: readonly OutcomeForecast[];
    };

/** The reading that fits the model least, if the log contradicts it. */
export interface Contradiction {
  readonly entry: number;
  readonly label: string;
  readonly says: string;
  /** How likely what is believed makes the entry, as a share of the best any fault could; near 1 for one that fits. */
  readonly fit: number;
}

/** What the engine makes of a case. */
export interface FindResult {
  readonly board: string;
  readonly suspects: readonly Suspect[];
  readonly groups: readonly SuspectGroup[];
  readonly next: readonly NextStep[];
  readonly notInModel: number;
  readonly nothingLeft: number;
  readonly contradiction: Contradiction | null;
  readonly supplyGate: { readonly state: "passed" | "failed" | "open"; readonly implied: boolean };
  readonly pairs: {
    readonly looked: number;
    readonly settledTogether: number;
    readonly leftOut: number;
    readonly leading: readonly {
      readonly parts: readonly [string, string];
      readonly faults: readonly [string, string];
      readonly probability: number;
    }[];
  };
  /** True if replacing now beats every reading. */
  readonly stop: boolean;
  readonly warnings: readonly string[];
  readonly problems: readonly Problem[];
}
