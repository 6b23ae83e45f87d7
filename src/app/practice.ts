import { practise } from "../core/find/practice/practise.js";
import type { Store } from "../store/store.js";
import { prepareFind } from "./find-faults.js";
import type { LoadedBoard } from "./load-board.js";

/** A game the plan played by itself. */
export interface PlayedGame {
  readonly board: string;
  readonly seed: number;
  /** The model answers the readings of a simulated machine; nothing was measured. */
  readonly answeredBy: "model";
  readonly truth: {
    readonly part: string;
    readonly mode: string;
    readonly site: string;
    readonly detail: string;
    readonly manifestation: string;
  };
  /** Symptoms reported at first. */
  readonly reported: readonly string[];
  readonly path: readonly { readonly step: string; readonly answer: string; readonly minutes: number }[];
  /** Work at the bench. */
  readonly minutes: number;
  /** Place of the hidden part (or of the worst part that cannot be told from it) when measuring ended; null: it never did. */
  readonly rank: number | null;
  /** Steps before measuring ended. */
  readonly stoppedAfter: number | null;
  readonly fixed: boolean;
}

/** Hides a fault and lets the plan find it. The same board and seed give the same game. */
export function playByItself(store: Store, loaded: LoadedBoard, seed: number): PlayedGame {
  const game = practise(prepareFind(store, loaded), { seed, auto: true });
  return {
    board: game.board,
    seed: game.seed,
    answeredBy: game.answeredBy,
    truth: game.truth,
    reported: game.reported,
    path: game.path,
    minutes: game.minutes,
    rank: game.rank ?? null,
    stoppedAfter: game.stoppedAfter ?? null,
    fixed: game.fixed,
  };
}
