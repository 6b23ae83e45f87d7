import type { Fault } from "../faults/fault.js";
import type { RowView } from "../reason/space.js";

/**
 * Something that can be looked at, with all its possible outcomes: a table from what a hypothesis predicts (a code)
 * to how likely each report is. The same table scores a reading in the log and forecasts one that is proposed.
 */
export interface Look {
  readonly outcomes: readonly string[];
  readonly codeCount: number;
  /** [codes × outcomes], row-major; rows sum to 1. */
  readonly likelihood: Float64Array;
  /** What a row of the effect table and the faults behind it (none: health) predict. */
  codeOf(view: RowView, faults: readonly Fault[]): number;
}
