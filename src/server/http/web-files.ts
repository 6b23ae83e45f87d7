import { createHash } from "node:crypto";
import { readdirSync, readFileSync, realpathSync } from "node:fs";
import { extname, join, sep } from "node:path";
import { gzipSync } from "node:zlib";

/** A file of the page, ready to be sent. */
export interface WebFile {
  readonly type: string;
  readonly bytes: Buffer;
  /** Compressed, where that makes it smaller. */
  readonly gzip: Buffer | undefined;
  readonly tag: string;
  /** True for files whose name changes with their content. */
  readonly isLasting: boolean;
}

const types: Readonly<Record<string, string>> = {
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".json": "application/json; charset=utf-8",
  ".webmanifest": "application/manifest+json",
  ".svg": "image/svg+xml",
  ".png": "image/png",
  ".ico": "image/x-icon",
  ".woff2": "font/woff2",
  ".txt": "text/plain; charset=utf-8",
};

const mostFiles = 500;

/**
 * All files of the built page by their address, read once: what a client asks for is looked up here and never on the
 * disk, so that no address leads anywhere else. Files of other kinds, and links that lead out of the folder, are left
 * out. Empty if there is no such folder.
 */
export function readWebFiles(folder: string): ReadonlyMap<string, WebFile> {
  let names: string[];
  let root: string;
  try {
    root = `${realpathSync(folder)}${sep}`;
    names = readdirSync(folder, { recursive: true, encoding: "utf8" });
  } catch {
    return new Map();
  }
  const files = new Map<string, WebFile>();
  for (const name of names.sort().slice(0, mostFiles)) {
    const type = types[extname(name)];
    if (type === undefined) continue;
    const path = realpathSync(join(folder, name));
    if (!path.startsWith(root)) continue;
    const bytes = readFileSync(path);
    const address = `/${name.split(sep).join("/")}`;
    const gzip = gzipSync(bytes, { level: 9 });
    files.set(address, {
      type,
      bytes,
      gzip: gzip.length < bytes.length ? gzip : undefined,
      tag: `"${createHash("sha256").update(bytes).digest("base64url").slice(0, 24)}"`,
      isLasting: address.startsWith("/assets/"),
    });
  }
  return files;
}
