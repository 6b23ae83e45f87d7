import type { Case } from "../case/case.js";
import { type FindOptions, findFaults } from "../find.js";
import type { PreparedBoard } from "../prepare.js";
import type { FindResult, NextStep } from "../result/result.js";
import type { Move, Policy, Standing, Truth } from "./policy.js";
import type { PracticeStep } from "./step.js";

/**
 * Asks the engine for its next step and remembers the answer: different hidden faults start with the same reports and
 * readings, and the engine says the same to the same log. One adviser serves one prepared board and one set of options.
 */
export class Adviser {
  private readonly prepared: PreparedBoard;
  private readonly options: FindOptions;
  private readonly known = new Map<string, Move | undefined>();
  /** Cases worked out and cases remembered. */
  worked = 0;
  remembered = 0;

  constructor(prepared: PreparedBoard, options: FindOptions = {}) {
    this.prepared = prepared;
    this.options = { ...options, steps: 1, explained: 0 };
  }

  /** The engine's first choice, or undefined if it has none. */
  moveFor(logged: Case): Move | undefined {
    const key = JSON.stringify([logged.instruments, logged.entries]);
    if (this.known.has(key)) {
      this.remembered += 1;
      return this.known.get(key);
    }
    this.worked += 1;
    const move = moveOf(findFaults(this.prepared, logged, this.options));
    this.known.set(key, move);
    return move;
  }
}

function moveOf(result: FindResult): Move | undefined {
  const first = result.next[0];
  const step = first === undefined ? undefined : stepOf(first);
  if (step === undefined) return undefined;
  const stop = result.stop || step.action === "repair";
  return stop ? { step, stop, standingOf: standing(result) } : { step, stop };
}

/** Only what a step needs to be answered: what is remembered should be small. */
function stepOf(next: NextStep): PracticeStep | undefined {
  switch (next.action) {
    case "gate":
      return undefined;
    case "reading":
      return { action: "reading", id: next.id, at: next.at, with: next.with, minutes: next.minutes };
    case "repair":
      return {
        action: "repair",
        id: next.id,
        part: next.part,
        repair: next.repair,
        minutes: next.minutes,
        money: next.money,
        riskMinutes: next.riskMinutes,
      };
  }
}

/** Where a part stands in a result. A part that is no suspect at all shares the last place after all suspects. */
export function standing(result: FindResult): (truth: Truth) => Standing {
  const chances = new Map(result.suspects.map((suspect) => [suspect.part, suspect.probability]));
  const groups = result.groups.map((group) => ({
    parts: group.parts,
    faults: new Set(group.members.map(faultKey)),
  }));
  const placeOf = (part: string): number => {
    const own = chances.get(part);
    if (own === undefined) return chances.size + 1;
    let place = 0;
    for (const chance of chances.values()) if (chance >= own - 1e-12) place += 1;
    return place;
  };
  return (truth) => {
    const place = placeOf(truth.part);
    const group = groups.find(({ faults }) => faults.has(faultKey(truth)));
    return { place, worstInGroup: Math.max(place, ...(group?.parts ?? []).map(placeOf)) };
  };
}

function faultKey(fault: Truth): string {
  return `${fault.part}|${fault.site}|${fault.mode}|${fault.detail}`;
}

/** The engine's own plan, step by step. */
export function planPolicy(adviser: Adviser): Policy {
  return {
    name: "plan",
    title: "boardwake's plan",
    *work({ prepared, instruments, entries }) {
      const logged: Case = {
        board: prepared.board.id,
        instruments: [...instruments],
        entries: [...entries],
      };
      for (;;) {
        const move = adviser.moveFor(logged);
        if (move === undefined) return;
        const answered = yield move;
        logged.entries.push(answered.entry);
      }
    },
  };
}
