import { hex } from "../../base/hex.js";
import type { Parsed, Problem } from "../../base/problem.js";
import type { Board } from "../../board/board.js";
import type { PictureLayout, PicturePiece } from "../../board/picture-layout.js";
import type { TypeSource } from "../map/circuit.js";
import { foldAddress, isWithin, type MemoryArray, mapMemory } from "../map/memory-map.js";
import { startWords } from "./start-words.js";

/** Where a picture comes from: each place with its address, and the chips that hold it. */
export interface PicturePlan {
  readonly layout: PictureLayout;
  /** The memory that the picture is fetched from. */
  readonly array: MemoryArray;
  /** [rows × columns], row by row: address of each place, of a memory seen several times in its first copy. */
  readonly addresses: Int32Array;
  /** [rows × columns] places from the lowest address upward. */
  readonly order: Int32Array;
  /** [65536] what each word of the memory holds after power comes up. */
  readonly start: Uint16Array;
}

/** What a program may have left in the picture memory. */
export const pictureContents = ["blank", "zeros", "ones", "start-up", "counting"] as const;
export type PictureContent = (typeof pictureContents)[number];

/**
 * The way from a board's memory to its picture. The value is absent if the board does not say how its picture lies in
 * memory, or says it wrongly. Codes: those of `mapMemory`, and `picture-layout-missing`, `picture-layout-place`,
 * `picture-layout-outside`, `picture-layout-bits`.
 */
export function planPicture(board: Board, types: TypeSource): Parsed<PicturePlan> {
  const picture = board.chain.picture;
  const layout = picture?.layout;
  if (picture === undefined || layout === undefined)
    return {
      problems: [
        flaw(
          "picture-layout-missing",
          `${board.title} does not say where its picture lies in memory.`,
          "Add the field 'layout' to 'chain.picture' of the board file.",
        ),
      ],
    };
  const mapped = mapMemory(board, types);
  const problems: Problem[] = [...mapped.problems];
  const addresses = new Int32Array(layout.columns * layout.rows).fill(-1);
  for (const piece of layout.pieces) problems.push(...lay(piece, layout, addresses));
  const open = addresses.indexOf(-1);
  if (open >= 0 && !problems.some(({ code }) => code === "picture-layout-place"))
    problems.push(
      flaw("picture-layout-place", `No piece of the picture holds ${placeName(layout, open)}.`, undefined),
    );
  const first = addresses[0] ?? -1;
  const array = mapped.value?.find(
    (one) => isWithin([one], first) && one.regions.some((id) => picture.memory.includes(id)),
  );
  if (mapped.value !== undefined && open < 0) {
    const outside = array === undefined ? 0 : addresses.findIndex((address) => !isWithin([array], address));
    if (outside >= 0)
      problems.push(
        flaw(
          "picture-layout-outside",
          `${placeName(layout, outside)} of the picture, at ${hex(addresses[outside] ?? 0)}, lies outside its memory, the regions ${picture.memory.join(", ")}.`,
          undefined,
        ),
      );
  }
  if (array !== undefined) problems.push(...bitFlaws(layout, array));
  if (array === undefined || problems.some(({ severity }) => severity === "error")) return { problems };
  for (const [k, address] of addresses.entries()) addresses[k] = foldAddress([array], address);
  const order = Int32Array.from(addresses.keys()).sort((a, b) => (addresses[a] ?? 0) - (addresses[b] ?? 0));
  return { value: { layout, array, addresses, order, start: startWords(array) }, problems };
}

/** Enters the addresses of a piece. */
function lay(piece: PicturePiece, { columns, rows }: PictureLayout, addresses: Int32Array): Problem[] {
  const within = piece.columns.to < columns && piece.rows.to < rows;
  if (!within || piece.columns.from > piece.columns.to || piece.rows.from > piece.rows.to)
    return [
      flaw(
        "picture-layout-place",
        `A piece with columns ${piece.columns.from} to ${piece.columns.to} and rows ${piece.rows.from} to ${piece.rows.to} does not lie in ${columns} columns by ${rows} rows.`,
        undefined,
      ),
    ];
  for (let row = piece.rows.from; row <= piece.rows.to; row += 1)
    for (let column = piece.columns.from; column <= piece.columns.to; column += 1) {
      const at = row * columns + column;
      if (addresses[at] !== -1)
        return [
          flaw(
            "picture-layout-place",
            `Two pieces of the picture hold ${placeName({ columns }, at)}.`,
            undefined,
          ),
        ];
      addresses[at] = addressOf(piece, column, row);
    }
  return [];
}

function addressOf(piece: PicturePiece, column: number, row: number): number {
  const from = Number.parseInt(piece.from, 16);
  if (piece.kind === "steps")
    return from + (column - piece.columns.from) * piece.columnStep + (row - piece.rows.from) * piece.rowStep;
  return piece.bits.reduce((sum, source, k) => sum + levelOf(source, column, row) * 2 ** k, from);
}

function levelOf(source: string, column: number, row: number): number {
  if (source === "0" || source === "1") return Number(source);
  const bit = Number(source.slice(1));
  return ((source.startsWith("c") ? column : row) >> bit) & 1;
}

function bitFlaws({ draws, dotsAcross }: PictureLayout, array: MemoryArray): Problem[] {
  const has = (bit: number): boolean => array.bits.some((data) => data.bit === bit);
  const missing = (bit: number): Problem[] =>
    has(bit)
      ? []
      : [flaw("picture-layout-bits", `The picture uses data bit ${bit}, which no chip holds.`, undefined)];
  if (draws.kind === "characters") return draws.inverseBit === undefined ? [] : missing(draws.inverseBit);
  const { leftBit, rightBit } = draws;
  const problems = [...missing(leftBit), ...missing(rightBit)];
  if (Math.abs(leftBit - rightBit) + 1 !== dotsAcross)
    problems.push(
      flaw(
        "picture-layout-bits",
        `Data bits ${leftBit} to ${rightBit} are not the ${dotsAcross} dots of a place.`,
        undefined,
      ),
    );
  return problems;
}

function placeName({ columns }: Pick<PictureLayout, "columns">, at: number): string {
  return `Column ${at % columns} of row ${Math.floor(at / columns)}`;
}

function flaw(code: string, message: string, hint: string | undefined): Problem {
  const where = { field: "chain.picture.layout" };
  return { code, severity: "error", message, where, ...(hint === undefined ? {} : { hint }) };
}
