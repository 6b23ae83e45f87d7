import { z } from "zod";
import { type Database, inTransaction, reading } from "./database.js";

/** A board of one's own, without its content. */
export interface StoredBoard {
  readonly id: string;
  /** Number of its newest version. */
  readonly newest: number;
  /** When the newest version was added. */
  readonly changedAt: string;
}

/** A version of a board, without its content. */
export interface StoredVersion {
  /** The first is 1. */
  readonly number: number;
  readonly at: string;
  /** What is new in it, in words. */
  readonly note: string;
}

/** A version of a board with everything that belongs to it; the texts are JSON that their writer understands. */
export interface StoredBoardVersion extends StoredVersion {
  readonly board: string;
  /** The board file. */
  readonly text: string;
  /** The list of part types that belong to this board alone. */
  readonly types: string;
  /** What the import found. */
  readonly report: string;
}

/** A part type of one's own as it stands; `text` is the type as JSON. */
export interface StoredType {
  readonly name: string;
  readonly at: string;
  readonly text: string;
}

/** Side of a board that a picture shows. */
export type PhotoSide = "component" | "solder";

/** A picture of a job's board, without its bytes. */
export interface StoredPhoto {
  readonly side: PhotoSide;
  readonly at: string;
  readonly mediaType: string;
  readonly widthPixel: number;
  readonly heightPixel: number;
  /** Where places of the board were tapped on it; JSON that its writer understands. */
  readonly marks: string;
}

/**
 * Boards, part types and pictures of one's own. Each writing function is one transaction and on the disk when it
 * returns. Any function may throw `database-locked`, `database-unusable` and `database-broken`.
 */
export interface BoardShelf {
  /** In the order of their ids. */
  boards(): StoredBoard[];
  /** Versions of a board, oldest first; empty for an unknown one. */
  versions(board: string): StoredVersion[];
  /** A version, the newest if no number is given. */
  version(board: string, number?: number): StoredBoardVersion | undefined;
  /** Adds a board, or a version of one that is there, and returns its number. */
  addVersion(version: Omit<StoredBoardVersion, "number">): number;
  /** Takes a board away with all its versions; false if there is none. Whether a job needs it is for others to say. */
  removeBoard(board: string): boolean;
  /** Types as they stand, in the order of their names; those that were taken away are left out. */
  types(): StoredType[];
  /** Adds a type, or a new form of one that is there. An empty text takes it away. */
  setType(type: StoredType): void;
  /** Grows with every change of a type. */
  typesRevision(): number;
  photos(job: string): StoredPhoto[];
  photoBytes(job: string, side: PhotoSide): Uint8Array | undefined;
  /** Puts a picture in the place of the one of that side, if there is one. */
  putPhoto(job: string, photo: StoredPhoto, bytes: Uint8Array): void;
  /** False if there is no such picture. */
  setMarks(job: string, side: PhotoSide, marks: string): boolean;
  /** False if there is no such picture. */
  removePhoto(job: string, side: PhotoSide): boolean;
}

const boardRow = z.object({ id: z.string(), newest: z.number().int(), at: z.string() });
const versionRow = z.object({ number: z.number().int(), at: z.string(), note: z.string() });
const fullRow = versionRow.extend({ body: z.string(), types: z.string(), report: z.string() });
const typeRow = z.object({ name: z.string(), at: z.string(), body: z.string() });
const numberRow = z.object({ number: z.number().int() });
const photoRow = z.object({
  side: z.enum(["component", "solder"]),
  at: z.string(),
  media_type: z.string(),
  width: z.number().int(),
  height: z.number().int(),
  marks: z.string(),
});
const bytesRow = z.object({ bytes: z.instanceof(Uint8Array) });

type Value = string | number | Uint8Array;

/** The shelf of an open database. */
export function createShelf(database: Database): BoardShelf {
  const rows = <T>(row: z.ZodType<T>, sql: string, ...values: readonly Value[]): T[] =>
    reading(database, () =>
      database
        .prepare(sql)
        .all(...values)
        .map((found) => row.parse(found)),
    );
  const run = (sql: string, ...values: readonly Value[]): number =>
    database.prepare(sql).run(...values).changes;
  const change = <T>(work: () => T): T => inTransaction(database, work);
  const newest = (board: string): number =>
    rows(numberRow, "SELECT coalesce(max(number), 0) AS number FROM board_version WHERE board = ?", board)[0]
      ?.number ?? 0;
  return {
    boards: () =>
      rows(
        boardRow,
        `SELECT board AS id, max(number) AS newest, at FROM board_version GROUP BY board ORDER BY board`,
      ).map(({ id, newest, at }) => ({ id, newest, changedAt: at })),
    versions: (board) =>
      rows(versionRow, "SELECT number, at, note FROM board_version WHERE board = ? ORDER BY number", board),
    version: (board, number) => {
      const sql =
        "SELECT number, at, note, body, types, report FROM board_version WHERE board = ? AND number = ?";
      const [found] = rows(fullRow, sql, board, number ?? newest(board));
      if (found === undefined) return undefined;
      const { body, ...rest } = found;
      return { board, ...rest, text: body };
    },
    addVersion: ({ board, at, note, text, types, report }) =>
      change(() => {
        run("INSERT OR IGNORE INTO own_board (id, added_at) VALUES (?, ?)", board, at);
        const number = newest(board) + 1;
        const sql =
          "INSERT INTO board_version (board, number, at, note, body, types, report) VALUES (?, ?, ?, ?, ?, ?, ?)";
        run(sql, board, number, at, note, text, types, report);
        return number;
      }),
    removeBoard: (board) =>
      change(() => {
        run("DELETE FROM board_version WHERE board = ?", board);
        return run("DELETE FROM own_board WHERE id = ?", board) > 0;
      }),
    types: () =>
      rows(
        typeRow,
        `SELECT name, at, body FROM own_type
         WHERE number = (SELECT max(number) FROM own_type AS later WHERE later.name = own_type.name) AND body <> ''
         ORDER BY name`,
      ).map(({ name, at, body }) => ({ name, at, text: body })),
    setType: ({ name, at, text }) =>
      change(() => {
        run("INSERT INTO own_type (name, at, body) VALUES (?, ?, ?)", name, at, text);
      }),
    typesRevision: () =>
      rows(numberRow, "SELECT coalesce(max(number), 0) AS number FROM own_type")[0]?.number ?? 0,
    photos: (job) =>
      rows(
        photoRow,
        "SELECT side, at, media_type, width, height, marks FROM photo WHERE job = ? ORDER BY side",
        job,
      ).map(({ side, at, media_type, width, height, marks }) => ({
        side,
        at,
        mediaType: media_type,
        widthPixel: width,
        heightPixel: height,
        marks,
      })),
    photoBytes: (job, side) =>
      rows(bytesRow, "SELECT bytes FROM photo WHERE job = ? AND side = ?", job, side)[0]?.bytes,
    putPhoto: (job, { side, at, mediaType, widthPixel, heightPixel, marks }, bytes) =>
      change(() => {
        const sql =
          "INSERT OR REPLACE INTO photo (job, side, at, media_type, width, height, bytes, marks) VALUES (?, ?, ?, ?, ?, ?, ?, ?)";
        run(sql, job, side, at, mediaType, widthPixel, heightPixel, bytes, marks);
      }),
    setMarks: (job, side, marks) =>
      change(() => run("UPDATE photo SET marks = ? WHERE job = ? AND side = ?", marks, job, side) > 0),
    removePhoto: (job, side) =>
      change(() => run("DELETE FROM photo WHERE job = ? AND side = ?", job, side) > 0),
  };
}
