import type { Problem } from "../../core/base/problem.js";
import { cellMap } from "../../core/memory/failing/cell-map.js";
import { type MemoryArray, mapMemory } from "../../core/memory/map/memory-map.js";
import { pictureFaultOf } from "../../core/memory/picture/explained-picture.js";
import { pictureFaults } from "../../core/memory/picture/picture-faults.js";
import { lookOf, lookText } from "../../core/memory/picture/picture-look.js";
import {
  type PictureContent,
  type PicturePlan,
  planPicture,
} from "../../core/memory/picture/picture-plan.js";
import { faultsOfCharacters, faultsOfStripes } from "../../core/memory/picture/read-picture.js";
import { pictureDots, pictureWords } from "../../core/memory/picture/shown-picture.js";
import type {
  MemoryAnswer,
  MemoryMeans,
  MemoryReads,
  PictureAnswer,
  PictureAsk,
  Seen,
  SeenAnswer,
} from "../api/memory.js";
import { describeEntry } from "../describe-entry.js";
import { Refusal } from "../jobs/refusal.js";
import type { LoadedBoard } from "../load-board.js";
import { explainMemory, memoryTestEntry, parseRanges } from "../memory-explain.js";
import { rankedParts } from "../output/memory-output.js";

/** What can be done about memory on a board. */
export function memoryMeans({ board, types }: LoadedBoard): MemoryMeans {
  const { value: arrays = [], problems } = mapMemory(board, types);
  const plan = planPicture(board, types);
  const told = [...problems, ...plan.problems].map(({ message }) => message);
  return {
    board: board.id,
    title: board.title,
    memories: arrays.map((array) => ({
      title: titleOf(board.memory, array),
      ranges: (array.copies ?? array.ranges).map(rangeText).join(", "),
      chips: [...new Set(array.bits.map(({ part }) => part))],
      dynamic: array.refreshRows !== undefined,
    })),
    problems: [...new Set(told)],
    picture: plan.value === undefined ? null : pictureMeans(plan.value),
  };
}

function pictureMeans({ layout, array }: PicturePlan): MemoryMeans["picture"] {
  const { columns, rows, dotsAcross, linesHigh, draws } = layout;
  return {
    kind: draws.kind,
    columns,
    rows,
    dotsAcross,
    linesHigh,
    inverseBit: draws.kind === "characters" ? (draws.inverseBit ?? null) : null,
    faults: pictureFaults(array).map((one) => ({ ...one, parts: [...one.parts] })),
  };
}

/** Explains failing addresses for the page. Throws `Refusal` for a list or ranges that cannot be read. */
export function memoryAnswer(loaded: LoadedBoard, { text, tested }: MemoryReads): MemoryAnswer {
  const ranges = tested === undefined || tested.trim() === "" ? undefined : tested;
  const { wrong } = ranges === undefined ? {} : parseRanges(ranges);
  if (wrong !== undefined)
    throw refused("tested", {
      code: "range-unreadable",
      severity: "error",
      message: `'${wrong}' is no range of addresses.`,
      where: {},
      hint: "Write ranges as 2000-3FFF, with commas between them.",
    });
  const { value, problems } = explainMemory(loaded, { file: "list", text }, ranges);
  if (value === undefined) {
    const problem = problems.find(({ severity }) => severity === "error");
    throw refused("text", problem ?? unexplained);
  }
  const { explanation, arrays, reads } = value;
  const plan = planPicture(loaded.board, loaded.types).value;
  const entry = memoryTestEntry(explanation);
  return {
    reads: explanation.reads,
    addresses: explanation.addresses,
    cells: explanation.cells,
    explanations: explanation.explanations.map((one) => ({
      kind: one.kind,
      title: one.title,
      share: one.share,
      explained: one.explained,
      unexplained: one.unexplained,
      good: one.good,
      parts: rankedParts(one.parts),
      picture: plan === undefined ? null : (pictureFaultOf(one, plan) ?? null),
    })),
    assumptions: [...explanation.assumptions],
    memories: arrays.map((array) => ({
      title: titleOf(loaded.board.memory, array),
      dynamic: array.refreshRows !== undefined,
      panels: cellMap(array, reads, value.tested).map(({ block, states, ...panel }) => ({
        ...panel,
        across: Math.ceil(panel.columns / block),
        states: states.join(""),
      })),
    })),
    entry,
    says: describeEntry(entry, []),
  };
}

const unexplained: Problem = {
  code: "memory-none",
  severity: "error",
  message: "Nothing can be said of these addresses.",
  where: {},
};

/** A screen with and without a fault. Throws `Refusal` if the board does not say how its picture lies in memory. */
export function pictureAnswer(loaded: LoadedBoard, { fault, content }: PictureAsk): PictureAnswer {
  const plan = planOf(loaded);
  const good = pictureWords(plan, content, undefined);
  const shown = pictureWords(plan, content, fault);
  const { kind } = plan.layout.draws;
  const write = (words: Uint16Array): string =>
    kind === "dots" ? dotsText(pictureDots(plan, words)) : wordsText(words);
  return {
    kind,
    width: plan.layout.columns * (kind === "dots" ? plan.layout.dotsAcross : 1),
    good: write(good),
    shown: write(shown),
    look: lookText(lookOf(plan, good, shown)),
  };
}

/** The failures that would make what is seen. Throws `Refusal` as `pictureAnswer` does. */
export function seenAnswer(loaded: LoadedBoard, seen: Seen): SeenAnswer {
  const plan = planOf(loaded);
  const matches =
    seen.kind === "stripes"
      ? faultsOfStripes(plan, seen)
      : faultsOfCharacters(plan, seen.pairs).map((one) => ({ ...one, content: contentOf(plan, seen.pairs) }));
  return { matches: matches.map((one) => ({ ...one, parts: [...one.parts] })) };
}

/** A blank screen shows best what blanks became, and words of all kinds what became of other characters. */
function contentOf({ layout }: PicturePlan, pairs: readonly { readonly right: number }[]): PictureContent {
  const blank = Number.parseInt(layout.blank, 16);
  return pairs.every(({ right }) => right === blank) ? "blank" : "counting";
}

function planOf({ board, types }: LoadedBoard): PicturePlan {
  const { value, problems } = planPicture(board, types);
  const problem = problems.find(({ severity }) => severity === "error");
  if (value === undefined) throw refused("fault", problem ?? unexplained);
  return value;
}

/** What is wrong with something that was given; a line of the list goes into the sentence. */
function refused(field: string, { where, message, ...problem }: Problem): Refusal {
  const line = where.line === undefined ? "" : `Line ${where.line}: `;
  return new Refusal({ ...problem, message: `${line}${message}`, where: { field } });
}

function dotsText(dots: Uint8Array): string {
  let text = "";
  for (let at = 0; at < dots.length; at += 4) {
    const four = [0, 1, 2, 3].reduce((sum, k) => sum * 2 + (dots[at + k] ?? 0), 0);
    text += four.toString(16);
  }
  return text;
}

function wordsText(words: Uint16Array): string {
  return Array.from(words, (word) => (word & 0xff).toString(16).padStart(2, "0")).join("");
}

function titleOf(
  memory: readonly { readonly id: string; readonly title: string }[],
  { regions }: MemoryArray,
): string {
  return memory
    .filter(({ id }) => regions.includes(id))
    .map(({ title }) => title)
    .join("; ");
}

function rangeText({ from, to }: { readonly from: number; readonly to: number }): string {
  const hex = (address: number): string => address.toString(16).toUpperCase().padStart(4, "0");
  return `${hex(from)}-${hex(to)}`;
}
