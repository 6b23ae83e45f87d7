/** A stored bit: 0 or 1. */
export type Bit = 0 | 1;

/** What two cells that answer together give: the lower or the higher level wins. */
export type Wiring = "and" | "or";

/**
 * What an aggressor cell does for a disturb coupling: it is read while it holds a value, or written from one value to
 * another.
 */
export type Disturbance = "r0" | "r1" | "0w0" | "0w1" | "1w0" | "1w1";

/**
 * A fault of the memory array or its address decoder. A `cell` is one stored bit, numbered address × word bits + bit;
 * an `address` is a word. Classes and names as in A. J. van de Goor, "Testing Semiconductor Memories", Wiley 1991, and
 * for the static fault primitives S. Hamdioui, A. J. van de Goor, M. Rodgers, "March SS", MTDT 2002.
 */
export type MemoryFault = SingleCellFault | CouplingFault | DecoderFault;

/** A fault of one cell. */
export type SingleCellFault =
  /** Stuck-at: holds `value` whatever is written. */
  | { readonly kind: "SAF"; readonly cell: number; readonly value: Bit }
  /** Transition: cannot go to `to` from the other value. */
  | { readonly kind: "TF"; readonly cell: number; readonly to: Bit }
  /** Stuck-open: cannot be reached; a read gives what the same data line gave at the last read, a write is lost. */
  | { readonly kind: "SOF"; readonly cell: number }
  /** Write disturb: writing the value it already holds flips it. */
  | { readonly kind: "WDF"; readonly cell: number; readonly state: Bit }
  /** Read destructive: a read flips it and gives the flipped value. */
  | { readonly kind: "RDF"; readonly cell: number; readonly state: Bit }
  /** Deceptive read destructive: a read gives the right value and flips it. */
  | { readonly kind: "DRDF"; readonly cell: number; readonly state: Bit }
  /** Incorrect read: a read gives the wrong value and leaves it. */
  | { readonly kind: "IRF"; readonly cell: number; readonly state: Bit }
  /** Data retention: loses `state` during a pause. */
  | { readonly kind: "DRF"; readonly cell: number; readonly state: Bit };

/** A fault of a victim cell that an aggressor cell brings about. */
export type CouplingFault = {
  readonly aggressor: number;
  readonly victim: number;
} & (
  | {
      /** Inversion: the aggressor's change to `to` inverts the victim. */ readonly kind: "CFin";
      readonly to: Bit;
    }
  | {
      /** Idempotent: the aggressor's change to `to` sets the victim to `forces`. */
      readonly kind: "CFid";
      readonly to: Bit;
      readonly forces: Bit;
    }
  | {
      /** State: while the aggressor holds `state`, the victim holds `forces`. */
      readonly kind: "CFst";
      readonly state: Bit;
      readonly forces: Bit;
    }
  | {
      /** Dynamic: a read or write of `value` at the aggressor sets the victim to `forces`. */
      readonly kind: "CFdyn";
      readonly value: Bit;
      readonly forces: Bit;
    }
  | {
      /** Disturb: the operation at the aggressor flips a victim that holds `state`. */
      readonly kind: "CFds";
      readonly operation: Disturbance;
      readonly state: Bit;
    }
  | {
      /**
       * The single-cell faults TF, WDF, RDF, DRDF and IRF of the victim, but only while the aggressor holds
       * `aggressorState`. `state`: the value the victim cannot go to (CFtr), or holds (all others).
       */
      readonly kind: "CFtr" | "CFwd" | "CFrd" | "CFdrd" | "CFir";
      readonly aggressorState: Bit;
      readonly state: Bit;
    }
);

/**
 * A fault of the address decoder between the address `x` and, except for type A, the address `y`.
 * A: x reaches nothing. B: x reaches nothing, y reaches both. C: x reaches y's cells. D: x reaches both.
 */
export type DecoderFault =
  | {
      readonly kind: "AF";
      readonly type: "A";
      readonly x: number;
      /** What the data lines show when nothing drives them. */
      readonly floating: Bit;
      readonly wiring: Wiring;
    }
  | {
      readonly kind: "AF";
      readonly type: "B";
      readonly x: number;
      readonly y: number;
      readonly floating: Bit;
      readonly wiring: Wiring;
    }
  | {
      readonly kind: "AF";
      readonly type: "C" | "D";
      readonly x: number;
      readonly y: number;
      readonly wiring: Wiring;
    };

/** Classes of faults in the order in which coverage is listed. */
export const faultClasses = [
  "SAF",
  "TF",
  "AFand",
  "AFor",
  "SOF",
  "CFin",
  "CFid",
  "CFst",
  "CFdyn",
  "WDF",
  "RDF",
  "DRDF",
  "IRF",
  "DRF",
  "CFds",
  "CFtr",
  "CFwd",
  "CFrd",
  "CFdrd",
  "CFir",
] as const;

export type FaultClass = (typeof faultClasses)[number];

/** Meaning of each class in a few words. */
export const faultClassTitles: Readonly<Record<FaultClass, string>> = {
  SAF: "stuck-at",
  TF: "transition",
  AFand: "address decoder, lower level wins",
  AFor: "address decoder, higher level wins",
  SOF: "stuck-open",
  CFin: "inversion coupling",
  CFid: "idempotent coupling",
  CFst: "state coupling",
  CFdyn: "dynamic coupling",
  WDF: "write disturb",
  RDF: "read destructive",
  DRDF: "deceptive read destructive",
  IRF: "incorrect read",
  DRF: "data retention",
  CFds: "disturb coupling",
  CFtr: "transition coupling",
  CFwd: "write disturb coupling",
  CFrd: "read destructive coupling",
  CFdrd: "deceptive read destructive coupling",
  CFir: "incorrect read coupling",
};
