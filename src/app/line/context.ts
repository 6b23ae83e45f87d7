import type { Instrument } from "../../core/find/case/case.js";
import type { Circuit } from "../../core/find/settle/build.js";
import type { ListedSymptom } from "../list-symptoms.js";

/** What a typed line is read against. */
export interface LineContext {
  readonly circuit: Circuit;
  readonly symptoms: readonly ListedSymptom[];
  /** Instruments at hand; decides what `U12.6 low` was read with. */
  readonly instruments: readonly Instrument[];
}

/** Why a line was not understood: one sentence, and what to do about it. */
export interface Misread {
  readonly message: string;
  readonly hint?: string;
}
