import { Adviser, planPolicy } from "../../core/find/practice/plan-policy.js";
import { openingEntries, playPolicy, practiceInstruments } from "../../core/find/practice/play.js";
import type { Policy } from "../../core/find/practice/policy.js";
import type { PreparedBoard } from "../../core/find/prepare.js";
import type { PracticePaths } from "../api/practice.js";
import { answerRandom, type BenchGame, drawHidden } from "./bench-game.js";

/** Told before each move of the tool how many it has made; throws to stop it. */
export type MoveWatch = (moves: number) => void;

/** Both ways to the fault: the player's, and the one the tool takes on the same machine with the same seed. */
export function pathsOf(prepared: PreparedBoard, game: BenchGame, watch: MoveWatch): PracticePaths {
  const { minutes, steps } = game.view();
  const played = toolPath(prepared, game.order.seed, watch);
  return {
    truth: game.truth(),
    player: {
      minutes,
      fixed: game.fixed,
      steps: steps.map((step) => ({ step: step.asked, answer: step.says, minutes: step.minutes })),
    },
    tool: played,
  };
}

/** The game that `practise` plays for this seed, watched. */
function toolPath(prepared: PreparedBoard, seed: number, watch: MoveWatch): PracticePaths["tool"] {
  const hidden = drawHidden(prepared, seed);
  const random = answerRandom(seed);
  const start = {
    prepared,
    instruments: practiceInstruments,
    entries: openingEntries(hidden, random),
  };
  const { path, minutes, fixed } = playPolicy(
    start,
    hidden,
    watched(planPolicy(new Adviser(prepared)), watch),
    {
      random,
    },
  );
  return { minutes, fixed, steps: path.map((step) => ({ ...step })) };
}

function watched(policy: Policy, watch: MoveWatch): Policy {
  return {
    ...policy,
    *work(start) {
      const work = policy.work(start);
      watch(0);
      let move = work.next();
      for (let moves = 1; move.done !== true; moves += 1) {
        const given = yield move.value;
        watch(moves);
        move = work.next(given);
      }
    },
  };
}
