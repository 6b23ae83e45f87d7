import type { BoardPhase, Section } from "../board.js";
import type { PartType } from "../part-type.js";

/** Where part types are looked up. */
export interface SketchTypes {
  get(type: string): PartType | undefined;
}

/** A part while the sketch is being made. */
export interface SketchPart {
  readonly ref: string;
  readonly type: PartType;
  readonly section: Section;
  readonly value?: string;
  readonly frequencyHertz?: number;
  readonly socketed?: boolean;
  /** True if whoever described the board named the part. */
  readonly known: boolean;
  /** Net by pin number. */
  readonly pins: Record<string, string>;
  samplesIn?: readonly string[];
}

/** What a part is to be. */
export interface PartWish {
  readonly type: string | PartType;
  readonly section: Section;
  /** Net by pin name or number; one the type lacks is a slip of the sketcher and throws `RangeError`. */
  readonly pins: Readonly<Record<string, string | undefined>>;
  readonly ref?: string | undefined;
  /** Letter of references that are made up; U if absent. */
  readonly letter?: string;
  readonly value?: string;
  readonly frequencyHertz?: number;
  readonly socketed?: boolean | undefined;
  readonly samplesIn?: readonly string[];
  /** Known though it has no reference: the description names the block. */
  readonly known?: boolean;
}

/** A moment of the sketched machine, and which selects are low in it. */
export interface SketchPhase extends BoardPhase {
  /** Nets of the selects that are low. */
  readonly selects: readonly string[];
  /** True while the picture owns a memory that it shares. */
  readonly video: boolean;
}

export const ground = "GND";

/** Net of the rail with that voltage. */
export const railNet = (volt: number): string => `${volt > 0 ? "+" : ""}${volt}V`;
