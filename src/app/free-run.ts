import type { Parsed } from "../core/base/problem.js";
import { boardMapOf } from "../core/draw/board-map.js";
import { renderPinout } from "../core/draw/pinout.js";
import { type ComparedLine, compareFreeRun, parseFreeRunReadings } from "../core/memory/free-run/compare.js";
import { type FreeRun, freeRunOf } from "../core/memory/free-run/free-run.js";
import type { LoadedBoard } from "./load-board.js";
import type { TextFile } from "./passed-in.js";

/** Most bytes of a list of readings. */
export const maximumReadingBytes = 1_000_000;

/** Resistor from a data pin of the plug to its level; common practice, no source. */
export const plugResistorOhm = 1000;

/** A free run, and readings beside it. */
export interface FreeRunReport {
  readonly run: FreeRun;
  readonly compared: readonly ComparedLine[];
}

/** What a board does in a free run, and how readings fit. */
export function freeRun(
  { board, types }: LoadedBoard,
  readings: TextFile | undefined,
  clockHertz: number | undefined,
): Parsed<FreeRunReport> {
  const { value: run, problems } = freeRunOf(board, types, clockHertz ?? board.selfTest?.clockHertz);
  if (run === undefined) return { problems };
  if (readings === undefined) return { value: { run, compared: [] }, problems };
  const parsed = parseFreeRunReadings(readings.text);
  const compared = compareFreeRun(run, parsed.value ?? []);
  const found = [...parsed.problems, ...compared.problems].map((problem) => ({
    ...problem,
    where: { ...problem.where, file: readings.file },
  }));
  const all = [...problems, ...found];
  if (found.length > 0 || compared.value === undefined) return { problems: all };
  return { value: { run, compared: compared.value }, problems: all };
}

/** The plug as a drawing: the processor from above, with what becomes of each pin. */
export function drawPlug({ board, types }: LoadedBoard, run: FreeRun): string {
  const part = boardMapOf(board, (name) => types.get(name)).parts.find(({ ref }) => ref === run.part);
  if (part === undefined) throw new RangeError(`${run.part} is not on the board`);
  const notes = new Map(
    run.plug
      .filter(({ wired }) => wired !== "through")
      .map(({ pin, wired }) => [pin, `cut, ${wired} by ${plugResistorOhm / 1000}k`]),
  );
  return `${renderPinout(part, notes)}\n`;
}
