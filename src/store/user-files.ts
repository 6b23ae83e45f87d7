import { existsSync, renameSync, rmSync, statSync, writeFileSync } from "node:fs";
import { BoardwakeError } from "../core/base/errors.js";
import type { ByteStream } from "../core/signal/byte-stream.js";
import { openByteFile, writeByteFile } from "./byte-files.js";
import { readTextFile, systemReason, type TextFile } from "./text-file.js";

/** The user's own files. */
export interface UserFiles {
  /** True if there is a file (not a folder) of that name. */
  isFile(path: string): boolean;
  /** Reads a text file. Throws `file-unreadable`. */
  read(path: string, maximumBytes: number): TextFile;
  /**
   * Writes all files or none: each is written beside its place and put there at the end, so that no half file is ever
   * seen under its name. Throws `file-unwritable`.
   */
  write(files: readonly TextFile[]): void;
  /** Opens a file of any size to be read in pieces. Throws `file-unreadable`. */
  openBytes(path: string): ByteStream;
  /** Writes a file of bytes as a whole or not at all. Throws `file-unwritable`. */
  writeBytes(path: string, pieces: AsyncIterable<Uint8Array> | Iterable<Uint8Array>): Promise<void>;
}

/** The user's files on this machine's disk. */
export const diskFiles: UserFiles = {
  isFile: (path) => existsSync(path) && statSync(path).isFile(),
  read: readTextFile,
  write: writeTogether,
  openBytes: openByteFile,
  writeBytes: writeByteFile,
};

function writeTogether(files: readonly TextFile[]): void {
  const drafts: { readonly draft: string; readonly file: string }[] = [];
  let current = "";
  try {
    for (const { file, text } of files) {
      current = file;
      const draft = `${file}.${process.pid}.part`;
      drafts.push({ draft, file });
      writeFileSync(draft, text, { flag: "wx" });
    }
    for (const { draft, file } of drafts) {
      current = file;
      renameSync(draft, file);
    }
  } catch (cause) {
    for (const { draft } of drafts) rmSync(draft, { force: true });
    throw new BoardwakeError("file-unwritable", { file: current, reason: systemReason(cause) }, cause);
  }
}
