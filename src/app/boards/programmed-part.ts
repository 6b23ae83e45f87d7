import { renderProblem } from "../../core/base/problem.js";
import { boardSchema } from "../../core/board/board.js";
import { parseEquations } from "../../core/board/logic/equations.js";
import { type CellLogic, logicOfFuses } from "../../core/board/logic/fuse-logic.js";
import { type FuseDevice, fusesOf } from "../../core/board/logic/fuse-maps.js";
import { programmedType } from "../../core/board/logic/fuse-type.js";
import { parseFuseFile } from "../../core/board/logic/jedec.js";
import { partTypeFlaws } from "../../core/board/part-type-flaws.js";
import { boardFlaws } from "../../core/board/read/board-semantics.js";
import type { StoredBoardVersion } from "../../store/jobs/board-shelf.js";
import { Refusal } from "../jobs/refusal.js";
import type { BoardTypes } from "../load-board.js";
import { typesWith } from "./board-source.js";
import { readOwnBoard } from "./own-board.js";

/** What a programmed part does, as somebody knows it. */
export interface ProgramWish {
  /** Reference of the part. */
  readonly part: string;
  readonly device: FuseDevice;
  readonly kind: "fuses" | "equations";
  /** A fuse file, or equations. */
  readonly text: string;
}

/**
 * A version of a board in which a part does what its fuses or equations say. Throws `Refusal` for a part the board does
 * not have, a text that cannot be read, fuses of another device, and pins that do not fit.
 */
export function programPart(
  version: StoredBoardVersion,
  { part: ref, device, kind, text }: ProgramWish,
  library: BoardTypes,
  file: string,
): { readonly text: string; readonly types: string } {
  const { board, localTypes } = readOwnBoard(version, file);
  if (!board.parts.some((part) => part.ref === ref))
    throw refusal("unknown-part", `There is no part '${ref}' on ${board.title}.`, "part");
  const cells = kind === "fuses" ? cellsOfFuses(device, text) : cellsOfEquations(text);
  const name = `${device} (${ref})`;
  const type = programmedType(device, name, cells);
  const [flaw] = partTypeFlaws(type);
  if (flaw !== undefined)
    throw refusal(flaw.code, `As ${device}, ${ref} makes no sense: ${flaw.message}`, "text");
  const changed = boardSchema.parse({
    ...board,
    parts: board.parts.map((part) => (part.ref === ref ? { ...part, type: name } : part)),
  });
  const types = [...localTypes.filter((one) => one.type !== name), type];
  const misfit = boardFlaws(changed, typesWith(library, types)).find(({ severity }) => severity === "error");
  if (misfit !== undefined)
    throw refusal("type-unfit", `${ref} cannot be a ${device} on this board: ${misfit.message}`, "device");
  return { text: JSON.stringify(changed), types: JSON.stringify(types) };
}

function cellsOfFuses(device: FuseDevice, text: string): CellLogic[] {
  const { value, problems } = parseFuseFile(text);
  const error = problems.find(({ severity }) => severity === "error");
  if (value === undefined)
    throw refusal(
      error?.code ?? "fuse-field",
      error === undefined ? "This is no fuse file." : renderProblem(error),
      "text",
    );
  if (value.fuses.length !== fusesOf(device))
    throw refusal(
      "fuse-count",
      `The file has ${value.fuses.length} fuses, and a ${device} has ${fusesOf(device)}.`,
      "device",
    );
  return logicOfFuses(device, value.fuses);
}

function cellsOfEquations(text: string): CellLogic[] {
  const { value, problems } = parseEquations(text);
  const [error] = problems;
  if (value !== undefined) return value;
  throw refusal(
    error?.code ?? "equation-syntax",
    error === undefined ? "There is no equation." : renderProblem(error),
    "text",
  );
}

function refusal(code: string, message: string, field: string): Refusal {
  return new Refusal({ code, severity: "error", message, where: { field } });
}
