import { BoardwakeError } from "../../core/base/errors.js";
import { systemReason } from "../text-file.js";

/**
 * The error of the catalogue for what went wrong with a database file: in use, not writable, full, damaged. Errors of
 * the catalogue and mistakes of ours are given back as they are.
 */
export function databaseError(file: string, cause: unknown): unknown {
  if (!(cause instanceof Error) || cause instanceof BoardwakeError) return cause;
  const code = "code" in cause ? String(cause.code) : "";
  // The native module was not built, or for another Node: an installation without scripts, or a new Node since.
  if (/bindings file|NODE_MODULE_VERSION/.test(cause.message))
    return new BoardwakeError("database-unusable", { file, reason: notBuilt }, cause);
  if (!code.startsWith("SQLITE_")) {
    if (!/^E[A-Z]+$/.test(code)) return cause;
    return new BoardwakeError("database-unusable", { file, reason: systemReason(cause) }, cause);
  }
  if (/^SQLITE_(?:BUSY|LOCKED)/.test(code)) return new BoardwakeError("database-locked", { file }, cause);
  if (/^SQLITE_(?:CORRUPT|NOTADB)/.test(code))
    return new BoardwakeError("database-broken", { file, reason: "it is no sound SQLite file" }, cause);
  const reason = reasons.find(([pattern]) => pattern.test(code))?.[1];
  // A broken rule of a table is a mistake of ours, not of the disk.
  if (reason === undefined) return cause;
  return new BoardwakeError("database-unusable", { file, reason }, cause);
}

const notBuilt =
  "its SQLite module is not built for this Node; run 'npm rebuild better-sqlite3' where boardwake is installed";

const reasons: readonly (readonly [RegExp, string])[] = [
  [/^SQLITE_FULL/, "the disk is full"],
  [/^SQLITE_READONLY/, "the file or its folder is read-only"],
  [/^SQLITE_CANTOPEN/, "it cannot be opened or made there; the folder may be missing or read-only"],
  [/^SQLITE_(?:PERM|AUTH)/, "permission is denied"],
  [/^SQLITE_IOERR/, "the disk gives an error"],
];
