import type { Board } from "../../src/core/board/board.js";
import type { PartType } from "../../src/core/board/part-type.js";
import type { Blocks } from "../../src/core/board/sketch/blocks.js";
import { blockFlaws } from "../../src/core/board/sketch/flaws.js";
import { type SketchData, sketchBoard } from "../../src/core/board/sketch/sketch.js";
import type { Case, CaseEntry } from "../../src/core/find/case/case.js";
import { machineLook } from "../../src/core/find/evidence/look.js";
import { type FindData, type PreparedBoard, prepareBoard } from "../../src/core/find/prepare.js";
import { countHistories } from "../../src/core/find/priors/count-histories.js";
import { fieldGroup } from "../../src/core/find/priors/field-factor.js";
import { solveCase } from "../../src/core/find/solve.js";
import { machineObservables } from "../../src/core/find/table/chain.js";
import { describeMachine } from "./to-blocks.js";
import { type Bench, partsAt, stepEntries, symptomEntries } from "./to-entries.js";
import { fits, type History, type HistoryPhrases } from "./vocabulary.js";

/** Where a true faulty block stood at one moment. */
export interface Standing {
  /** Readings entered so far. */
  readonly readings: number;
  /** Best place of a block that is still faulty, from 1; undefined if none of them is on the list. */
  readonly place: number | undefined;
}

/** What became of one history. */
export interface ScoredHistory {
  readonly id: string;
  /** Why it was not scored; undefined if it was. */
  readonly left: string | undefined;
  /** The first is before any reading; the last before the step that cured the machine. */
  readonly standings: readonly Standing[];
  readonly words: WordCounts;
  /** Good parts changed in vain, and how many of them stood behind a true block when it was done. */
  readonly wasted: number;
  readonly spared: number;
  /** Rank of blocks is over so many. */
  readonly blocks: number;
  /** Place of a true block if the blocks of the board stood in the order in which others were faulty elsewhere. */
  readonly fixedOrder: number | undefined;
}

/** Words that said something, and those that did not. */
export interface WordCounts {
  readonly blocks: { readonly all: number; readonly unmatched: readonly string[] };
  readonly symptoms: { readonly all: number; readonly later: number; readonly unmatched: readonly string[] };
  readonly readings: { readonly all: number; readonly unmatched: readonly string[] };
}

/** What scoring works from. */
export interface ScoreContext {
  readonly histories: readonly History[];
  readonly phrases: HistoryPhrases;
  readonly sketch: SketchData;
  readonly find: FindData;
}

const pairLimits = { candidates: 20, settle: 60 };

/** Works a history through: sketch, symptoms, readings in order. Its own counts are left out of the field priors. */
export function scoreHistory(history: History, context: ScoreContext): ScoredHistory {
  const { phrases, sketch: data } = context;
  const { blocks, reason, unmatched } = describeMachine(history, phrases);
  const flaws = blocks === undefined ? [] : blockFlaws(blocks, data);
  const empty = {
    standings: [],
    wasted: history.good_parts_replaced ?? 0,
    spared: 0,
    blocks: 0,
    fixedOrder: undefined,
  };
  const words = { all: history.blocks.length, unmatched };
  const without = (left: string): ScoredHistory => ({
    id: history.id,
    left,
    ...empty,
    words: {
      blocks: words,
      symptoms: { all: history.symptoms.length, later: 0, unmatched: [] },
      readings: { all: history.readings.length, unmatched: [] },
    },
  });
  if (blocks === undefined) return without(reason ?? "it could not be described");
  if (flaws.length > 0) return without(flaws.map(({ message }) => message).join(" "));
  return workThrough(history, blocks, context, words);
}

function prepareWithout(
  history: History,
  blocks: Blocks,
  context: ScoreContext,
): { prepared: PreparedBoard; bench: Bench } {
  const { board, types } = sketchBoard(blocks, context.sketch);
  const own = new Map(types.map((type) => [type.type, type]));
  const typeOf = (name: string): PartType | undefined => own.get(name) ?? context.sketch.library.get(name);
  const field = context.find.failure["field-factors"];
  const counted = countHistories(context.histories.filter(({ id }) => id !== history.id));
  const failure = { ...context.find.failure, "field-factors": { ...field, counted } };
  const prepared = prepareBoard(board, { ...context.find, failure, types: { get: typeOf } });
  return { prepared, bench: { board, typeOf } };
}

function workThrough(
  history: History,
  blocks: Blocks,
  context: ScoreContext,
  words: WordCounts["blocks"],
): ScoredHistory {
  const { phrases } = context;
  const { prepared, bench } = prepareWithout(history, blocks, context);
  const groups = context.find.failure["field-factors"].groups;
  const truth = new Set(
    groups
      .filter(({ classes }) =>
        classes.some((name) => history.fault_classes.includes(name.replaceAll("-", "_"))),
      )
      .map(({ group }) => group),
  );
  const groupOf = (ref: string): string | undefined => groupOfPart(prepared, bench.board, ref);
  const onBoard = new Set([
    "socket",
    "track",
    "own-work",
    ...bench.board.parts.flatMap(({ ref }) => groupOf(ref) ?? []),
  ]);
  const { counted } = prepared.data.failure["field-factors"];
  const fixed = groups
    .filter(({ group }) => onBoard.has(group))
    .map(({ group, classes }) => ({
      group,
      count: counted.classes
        .filter((one) => classes.includes(one.class))
        .reduce((sum, { any }) => sum + any.length, 0),
    }))
    .sort((a, b) => b.count - a.count);
  const fixedPlace = 1 + fixed.findIndex(({ group }) => truth.has(group));
  const logged: Case = {
    board: history.id,
    instruments: ["multimeter", "logic-probe", "oscilloscope", "finger", "eye"],
    entries: [],
  };
  const { space } = solveCase(prepared, logged, pairLimits);
  const has = (id: string): boolean => {
    const symptom = space.model.symptoms.find((one) => one.id === id);
    const observable = machineObservables.find((one) => one === symptom?.observable);
    return observable !== undefined && machineLook(space, observable) !== undefined;
  };
  const symptoms = symptomEntries(history, phrases, has);
  const entries: CaseEntry[] = [...symptoms.entries, { kind: "gate", id: "supply", state: "passed" }];
  const ranks = (): Map<string, number> => rankGroups(prepared, { ...logged, entries }, groupOf);
  const bestOf = (order: ReadonlyMap<string, number>): number | undefined => {
    const places = [...truth].flatMap((group) => order.get(group) ?? []);
    return places.length === 0 ? undefined : Math.min(...places);
  };
  let order = ranks();
  const standings: Standing[] = [{ readings: 0, place: bestOf(order) }];
  const unread: string[] = [];
  let used = 0;
  let considered = 0;
  let count = order.size;
  for (const step of history.readings) {
    considered += 1;
    const { entries: own, swapped } = stepEntries(step, phrases, bench);
    if (own.length === 0) {
      unread.push(`${step.kind}: ${step.what} | ${step.result}`);
      continue;
    }
    if (swapped?.result === "fixed") break;
    entries.push(...own);
    used += own.length;
    if (swapped?.result === "changed") for (const ref of swapped.parts) truth.delete(groupOf(ref) ?? "");
    if (truth.size === 0) break;
    order = ranks();
    count = Math.max(count, order.size);
    standings.push({ readings: used, place: bestOf(order) });
  }
  return {
    id: history.id,
    left: undefined,
    standings,
    words: {
      blocks: words,
      symptoms: { all: history.symptoms.length, later: symptoms.later.length, unmatched: symptoms.unmatched },
      readings: { all: considered, unmatched: unread },
    },
    wasted: history.good_parts_replaced ?? 0,
    spared: sparedParts(history, { phrases, bench, groupOf, last: order, best: bestOf }),
    blocks: count,
    fixedOrder: fixedPlace === 0 ? undefined : fixedPlace,
  };
}

/** Groups by the chance that a fault is in one of them, likeliest first: place from 1. */
function rankGroups(
  prepared: PreparedBoard,
  logged: Case,
  groupOf: (ref: string) => string | undefined,
): Map<string, number> {
  const { byPart } = solveCase(prepared, logged, pairLimits);
  const chances = new Map<string, number>();
  for (const belief of byPart) {
    const ref = prepared.circuit.wiring.parts[belief.part]?.part.ref ?? "";
    for (const { fault, probability } of belief.faults) {
      const group =
        fault.site === "socket"
          ? "socket"
          : fault.site === "track"
            ? "track"
            : fault.site === "bridge"
              ? "own-work"
              : groupOf(ref);
      if (group !== undefined) chances.set(group, (chances.get(group) ?? 0) + probability);
    }
  }
  const sorted = [...chances].filter(([, chance]) => chance > 1e-6).sort((a, b) => b[1] - a[1]);
  return new Map(sorted.map(([group], i) => [group, i + 1]));
}

function groupOfPart(prepared: PreparedBoard, board: Board, ref: string): string | undefined {
  const part = board.parts.find((one) => one.ref === ref);
  const family = part === undefined ? undefined : prepared.data.types.get(part.type)?.family;
  if (part === undefined || family === undefined || family === "none") return undefined;
  return fieldGroup(prepared.data.failure["field-factors"], family, part.section);
}

/**
 * Good parts that were changed in vain although a true block stood above theirs after the readings: those the ranking
 * would have spared. A guess whose words say nothing, or nothing of the board, is spared nobody.
 */
function sparedParts(
  history: History,
  how: {
    readonly phrases: HistoryPhrases;
    readonly bench: Bench;
    readonly groupOf: (ref: string) => string | undefined;
    readonly last: ReadonlyMap<string, number>;
    readonly best: (order: ReadonlyMap<string, number>) => number | undefined;
  },
): number {
  const wasted = history.good_parts_replaced ?? 0;
  if (wasted === 0) return 0;
  const guessed = new Set(
    history.guesses_made.flatMap((guess) => {
      const place = how.phrases.places.find(
        (one) => fits(one.phrase, guess) && partsAt(one, how.bench).length > 0,
      );
      const [ref = ""] = place === undefined ? [] : partsAt(place, how.bench);
      return how.groupOf(ref) ?? [];
    }),
  );
  if (guessed.size === 0) return 0;
  const isBelow = (order: ReadonlyMap<string, number>): boolean => {
    const best = how.best(order);
    return (
      best !== undefined &&
      [...guessed].every((group) => (order.get(group) ?? Number.POSITIVE_INFINITY) > best)
    );
  };
  return isBelow(how.last) ? wasted : 0;
}
