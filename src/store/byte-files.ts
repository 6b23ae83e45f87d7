import { closeSync, createReadStream, fstatSync, openSync, renameSync, rmSync } from "node:fs";
import { open } from "node:fs/promises";
import { BoardwakeError } from "../core/base/errors.js";
import type { ByteStream } from "../core/signal/byte-stream.js";
import { systemReason, unreadable } from "./text-file.js";

/** Bytes read from the disk at once. */
const pieceBytes = 65536;

/**
 * Opens a file to be read in order, whatever its size. Throws `file-unreadable` at once if it cannot be opened or is a
 * folder, and while it is read if the disk fails. It is closed at its end or when nobody wants more of it.
 */
export function openByteFile(file: string): ByteStream {
  let descriptor: number | undefined;
  try {
    descriptor = openSync(file, "r");
    const facts = fstatSync(descriptor);
    if (facts.isDirectory()) throw unreadable(file, "it is a folder");
    // Pipes and devices state no size.
    const size = facts.isFile() ? { sizeBytes: facts.size } : {};
    const chunks = readPieces(file, descriptor);
    descriptor = undefined;
    return { file, ...size, chunks };
  } catch (cause) {
    if (cause instanceof BoardwakeError) throw cause;
    throw unreadable(file, systemReason(cause), cause);
  } finally {
    if (descriptor !== undefined) closeSync(descriptor);
  }
}

async function* readPieces(file: string, descriptor: number): AsyncGenerator<Uint8Array> {
  const stream = createReadStream(file, { fd: descriptor, highWaterMark: pieceBytes });
  try {
    for await (const chunk of stream) if (chunk instanceof Uint8Array) yield chunk;
  } catch (cause) {
    throw unreadable(file, systemReason(cause), cause);
  } finally {
    stream.destroy();
  }
}

/**
 * Writes a file piece by piece beside its place and puts it there at the end, so that no half file is ever seen under
 * its name. Throws `file-unwritable`; what making the pieces throws is passed on.
 */
export async function writeByteFile(
  file: string,
  pieces: AsyncIterable<Uint8Array> | Iterable<Uint8Array>,
): Promise<void> {
  const draft = `${file}.${process.pid}.part`;
  const failed = (cause: unknown): BoardwakeError =>
    new BoardwakeError("file-unwritable", { file, reason: systemReason(cause) }, cause);
  const handle = await open(draft, "wx").catch((cause: unknown) => {
    throw failed(cause);
  });
  try {
    try {
      for await (const piece of pieces) {
        await handle.writeFile(piece).catch((cause: unknown) => {
          throw failed(cause);
        });
      }
    } finally {
      await handle.close();
    }
    try {
      renameSync(draft, file);
    } catch (cause) {
      throw failed(cause);
    }
  } catch (cause) {
    rmSync(draft, { force: true });
    throw cause;
  }
}
