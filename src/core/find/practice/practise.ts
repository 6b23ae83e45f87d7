import { createRandom } from "../../base/random.js";
import type { Instrument } from "../case/case.js";
import type { FindOptions } from "../find.js";
import type { PreparedBoard } from "../prepare.js";
import { type DrawOptions, drawFault } from "./hidden-fault.js";
import { Adviser, planPolicy } from "./plan-policy.js";
import { openingEntries, type Played, playPolicy, practiceInstruments } from "./play.js";
import { createWorld } from "./world.js";

export interface PractiseOptions {
  readonly seed: number;
  /** The tool plays its own plan; playing by hand uses `drawFault`, `openingEntries` and `answer`. */
  readonly auto: true;
  readonly by?: DrawOptions["by"];
  readonly wrongReadings?: number;
  readonly instruments?: readonly Instrument[];
  readonly find?: FindOptions;
}

/** A practice game: what was hidden, how it was found. Readings were answered from the model, not measured. */
export interface Practice extends Played {
  readonly answeredBy: "model";
  readonly board: string;
  readonly seed: number;
}

/** Hides a fault and lets the tool find it. The same seed gives the same game. */
export function practise(prepared: PreparedBoard, options: PractiseOptions): Practice {
  const world = createWorld(prepared);
  const hidden = drawFault(world, createRandom(options.seed), {
    by: options.by ?? "prior",
    onlyShowing: true,
  });
  const random = createRandom(Math.imul(options.seed, 2654435761) + 1);
  const start = {
    prepared,
    instruments: options.instruments ?? practiceInstruments,
    entries: openingEntries(hidden, random),
  };
  const played = playPolicy(start, hidden, planPolicy(new Adviser(prepared, options.find)), {
    random,
    wrongReadings: options.wrongReadings ?? 0,
  });
  return { answeredBy: "model", board: prepared.board.id, seed: options.seed, ...played };
}
