import { BoardwakeError } from "../../core/base/errors.js";
import { type Board, boardSchema } from "../../core/board/board.js";
import { type BoardDiff, diffBoards } from "../../core/board/board-diff.js";
import { boardId } from "../../core/board/recognise/board-from-netlist.js";
import type { StoredVersion } from "../../store/jobs/board-shelf.js";
import type { JobStore } from "../../store/jobs/job-store.js";
import { renderBoard } from "../board-text.js";
import type { BenchBoards } from "../jobs/bench-boards.js";
import { Refusal } from "../jobs/refusal.js";
import { renderOwnTypes } from "../own-types.js";
import { type OwnBoard, readOwnBoard } from "./own-board.js";
import { type ProgramWish, programPart } from "./programmed-part.js";

/** How a board that was made is to be kept. */
export interface KeepWish {
  /** Board of one's own of which this is a new version; a new board if absent. */
  readonly as?: string | undefined;
  /** What it is called; as its file says if absent. */
  readonly title?: string | undefined;
  /** What is new, in words. */
  readonly note?: string | undefined;
}

const longestId = 60;

/** Keeps boards of one's own: their versions, what was said when they came in, and how versions differ. */
export class BoardKeeper {
  private readonly jobs: JobStore;
  private readonly boards: BenchBoards;
  private readonly now: () => string;

  /** `now` gives the moment as ISO 8601 in UTC. */
  constructor(jobs: JobStore, boards: BenchBoards, now: () => string) {
    this.jobs = jobs;
    this.boards = boards;
    this.now = now;
  }

  /**
   * Keeps a board; on the disk when this returns. The same content as the newest version adds none.
   * Throws `board-unknown` for a version of no board of one's own.
   */
  keep(made: OwnBoard, { as, title, note }: KeepWish): { readonly id: string; readonly version: number } {
    const { shelf } = this.jobs;
    const board = boardSchema.parse(JSON.parse(made.text));
    if (as !== undefined && shelf.versions(as).length === 0) throw this.boards.unknown(as);
    const id = as ?? this.freeId(board.id);
    const newest = shelf.version(id);
    // A new version is called as the one before it, unless somebody says otherwise.
    const before = newest === undefined ? board : readOwnBoard(newest, this.jobs.file).board;
    const name = titleOf(before, title);
    const text = JSON.stringify({ ...board, id, title: name });
    if (newest !== undefined && newest.text === text && newest.types === made.types)
      return { id, version: newest.number };
    const report = JSON.stringify({ ...made.report, board: id, title: name });
    const at = this.now();
    const version = shelf.addVersion({ board: id, at, note: note ?? "", text, types: made.types, report });
    return { id, version };
  }

  /**
   * Adds a version in which a part does what its fuses or equations say. Throws `board-unknown`, and `Refusal` for what
   * cannot be read or does not fit.
   */
  program(id: string, wish: ProgramWish): { readonly id: string; readonly version: number } {
    const { shelf, file } = this.jobs;
    const stored = shelf.version(id);
    if (stored === undefined) throw this.boards.unknown(id);
    const { text, types } = programPart(stored, wish, this.boards.get(id).types, file);
    if (text === stored.text && types === stored.types) return { id, version: stored.number };
    const note = `${wish.part} programmed as ${wish.device}`;
    const at = this.now();
    const version = shelf.addVersion({ board: id, at, note, text, types, report: stored.report });
    return { id, version };
  }

  /** Versions of a board of one's own, oldest first, with what the import said. Throws `board-unknown`. */
  versions(id: string): readonly (StoredVersion & { readonly report: unknown })[] {
    const { shelf } = this.jobs;
    const versions = shelf.versions(id);
    if (versions.length === 0) throw this.boards.unknown(id);
    return versions.map((version) => {
      const report: unknown = JSON.parse(shelf.version(id, version.number)?.report ?? "null");
      return { ...version, report };
    });
  }

  /** Text of the board file. Throws `board-unknown`. */
  file(id: string, version: number | undefined): string {
    return renderBoard(this.boards.get(id, version).board);
  }

  /** Text of a board file. */
  render(board: Board): string {
    return renderBoard(board);
  }

  /** Text of the file of part types that belong to a board alone. Throws `board-unknown`. */
  typesFile(id: string, version: number | undefined): string {
    const stored = this.jobs.shelf.version(id, version);
    if (stored === undefined) throw this.boards.unknown(id);
    return renderOwnTypes(readOwnBoard(stored, this.jobs.file).localTypes);
  }

  /** How one version differs from another. Throws `board-unknown`. */
  diff(id: string, before: number, after: number): BoardDiff {
    return diffBoards(this.boards.get(id, before).board, this.boards.get(id, after).board);
  }

  /** Takes a board away. Throws `board-unknown`, and `Refusal` while a job is on it. */
  remove(id: string, used: readonly string[]): void {
    const [title] = used;
    if (title !== undefined)
      throw new Refusal({
        code: "board-in-use",
        severity: "error",
        message: `The job '${title}' is on this board, so it was not taken away.`,
        where: { field: "id" },
        hint: "A board is kept as long as a log refers to it.",
      });
    if (!this.jobs.shelf.removeBoard(id)) throw this.boards.unknown(id);
  }

  /** The id, with a number behind it if another board has it already. */
  private freeId(wanted: string): string {
    const start = boardId(`${wanted}.json`);
    if (!this.boards.has(start)) return start;
    for (let i = 2; i < 1000; i += 1) {
      const tail = `-${i}`;
      const id = `${start.slice(0, longestId - tail.length)}${tail}`;
      if (!this.boards.has(id)) return id;
    }
    throw new BoardwakeError("too-busy", { reason: `a thousand boards are called '${start}'` });
  }
}

function titleOf(board: Board, title: string | undefined): string {
  return title === undefined || title.trim() === "" ? board.title : title.trim();
}
