import type { FailureModeId, Manifestation } from "../../board/failure-mode.js";
import type { Change } from "./change.js";

/** What a repair of a fault works on. */
export type FaultSite =
  /** The part itself. */
  | "part"
  /** The contact between a part's leg and its socket. */
  | "socket"
  /** A track, joint or plated hole at a part's pin. */
  | "track"
  /** Solder, dirt or a whisker between two neighbouring pins. */
  | "bridge";

/** Everything unpowered readings and fingers can tell of a fault. */
export interface PassiveSigns {
  /** Pin cut off from its net by a contact or track: leg and pad differ. */
  readonly cutPin?: number;
  /** Net that reads as shorted to ground. */
  readonly shortedNet?: number;
  /** Two nets that ring together. */
  readonly bridged?: readonly [number, number];
  /** A two-terminal part that reads open or shorted. */
  readonly deviceReads?: "open" | "short";
  /** The part runs hot. */
  readonly hot?: boolean;
  /** Supply current: more or less than usual. */
  readonly current?: "high" | "low";
}

/** One way in which one place of the board can be bad. */
export interface Fault {
  /** Stable text: `U7:output-stuck-low:4`. */
  readonly id: string;
  /** Index of the part it is at. */
  readonly part: number;
  readonly site: FaultSite;
  readonly mode: FailureModeId;
  readonly manifestation: Manifestation;
  /** Pin, bit or line it concerns, for people; empty if the whole part. */
  readonly detail: string;
  /** Prior odds against health. */
  readonly odds: number;
  /** Index into the list of effects. */
  readonly effect: number;
  readonly signs: PassiveSigns;
}

/** What a fault does to the circuit; faults that do the same share one effect. */
export interface Effect {
  readonly key: string;
  readonly changes: readonly Change[];
  /** Parts and nets it starts from, to tell whether two effects can meet. */
  readonly parts: readonly number[];
}
