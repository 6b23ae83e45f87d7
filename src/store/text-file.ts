import { closeSync, fstatSync, openSync, readFileSync } from "node:fs";
import { BoardwakeError } from "../core/base/errors.js";

/** A text and the name of the file it came from, as problems name it. */
export interface TextFile {
  readonly file: string;
  readonly text: string;
}

/**
 * Reads a whole text file (UTF-8; a byte order mark is dropped).
 * Throws `file-unreadable` if it cannot be read, is no file, is larger than `maximumBytes`, or is no UTF-8 text.
 */
export function readTextFile(file: string, maximumBytes: number): TextFile {
  return { file, text: decodeText(readBytes(file, maximumBytes), file) };
}

/** Decodes UTF-8; `file` is named in the error. Throws `file-unreadable` for bytes that are no UTF-8 text. */
export function decodeText(bytes: Uint8Array, file: string): string {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch (cause) {
    throw unreadable(file, "it is no text in UTF-8", cause);
  }
}

/** What is said of input that is larger than what is read. */
export function tooLarge(bytes: number, maximumBytes: number): string {
  return `it has ${megabytes(bytes)} MB; at most ${megabytes(maximumBytes)} MB are read`;
}

/** The error of a file that cannot be read, with the reason as half a sentence. */
export function unreadable(file: string, reason: string, cause?: unknown): BoardwakeError {
  return new BoardwakeError("file-unreadable", { file, reason }, cause);
}

/** What the operating system's error code means, in words; the code itself where it is a rare one. */
export function systemReason(cause: unknown): string {
  const code = cause instanceof Error && "code" in cause ? String(cause.code) : "unknown";
  const reasons: Readonly<Record<string, string>> = {
    ENOENT: "there is no such file or folder",
    EACCES: "permission is denied",
    EPERM: "permission is denied",
    EISDIR: "it is a folder",
    ENOTDIR: "a part of the path is no folder",
    ENOSPC: "the disk is full",
    EROFS: "the disk is read-only",
    ENAMETOOLONG: "the name is too long",
    EMFILE: "too many files are open",
    ELOOP: "its links lead in a circle",
  };
  return reasons[code] ?? `the system says ${code}`;
}

function readBytes(file: string, maximumBytes: number): Uint8Array {
  let descriptor: number | undefined;
  try {
    descriptor = openSync(file, "r");
    const facts = fstatSync(descriptor);
    if (facts.isDirectory()) throw unreadable(file, "it is a folder");
    if (facts.size > maximumBytes) throw unreadable(file, tooLarge(facts.size, maximumBytes));
    const bytes = readFileSync(descriptor);
    // Pipes and devices state no size beforehand.
    if (bytes.length > maximumBytes) throw unreadable(file, tooLarge(bytes.length, maximumBytes));
    return bytes;
  } catch (cause) {
    if (cause instanceof BoardwakeError) throw cause;
    throw unreadable(file, systemReason(cause), cause);
  } finally {
    if (descriptor !== undefined) closeSync(descriptor);
  }
}

function megabytes(bytes: number): string {
  return (bytes / 1e6).toFixed(1).replace(/\.0$/, "");
}
