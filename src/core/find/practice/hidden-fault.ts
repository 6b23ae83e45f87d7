import type { Random } from "../../base/random.js";
import type { Fault } from "../faults/fault.js";
import type { RowView } from "../reason/space.js";
import { type PracticeWorld, showsItself } from "./world.js";

/** A fault put into the machine, and how its processor happens to behave since it was last touched. */
export interface HiddenFault {
  readonly world: PracticeWorld;
  readonly fault: Fault;
  /** What the machine shows while the fault shows. */
  readonly view: RowView;
}

/** How a hidden fault is drawn. */
export interface DrawOptions {
  /** In proportion to how often faults come, or each part as often as any other and then by that. */
  readonly by: "prior" | "even-over-parts";
  /** Only faults that the user of the machine can notice. */
  readonly onlyShowing: boolean;
}

/** Draws the fault to be found. Throws `RangeError` if the board has none of the wanted kind. */
export function drawFault(world: PracticeWorld, random: Random, options: DrawOptions): HiddenFault {
  const { faults } = world.space;
  const weights = world.weights.slice();
  for (const [f, fault] of faults.entries())
    if (options.onlyShowing && !showsItself(world.space, fault)) weights[f] = 0;
  if (options.by === "even-over-parts") {
    const parts = [
      ...new Set(faults.flatMap((fault, f) => ((weights[f] as number) > 0 ? [fault.part] : []))),
    ];
    const part = parts[random.below(parts.length)];
    for (const [f, fault] of faults.entries()) if (fault.part !== part) weights[f] = 0;
  }
  const fault = faults[random.weighted(weights)];
  if (fault === undefined) throw new RangeError("the board has no fault to draw");
  return { world, fault, view: drawView(world, fault, random) };
}

/**
 * The machine after it was worked on without success: the fault is the same, a crashed program may behave otherwise.
 */
export function powerOnAgain(hidden: HiddenFault, random: Random): HiddenFault {
  return { ...hidden, view: drawView(hidden.world, hidden.fault, random) };
}

function drawView({ space, rowShare }: PracticeWorld, fault: Fault, random: Random): RowView {
  const from = space.table.firstRow[fault.effect] as number;
  const to = space.table.firstRow[fault.effect + 1] as number;
  const row = from + random.weighted(rowShare.subarray(from, to));
  return space.views[row] ?? space.health;
}
