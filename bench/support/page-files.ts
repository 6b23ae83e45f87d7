import { readdirSync, readFileSync } from "node:fs";
import { extname, join } from "node:path";
import { gzipSync } from "node:zlib";
import { repositoryRoot } from "../../scripts/generated-files.js";

/** A file of the built page. */
export interface PageFile {
  /** Address below the root, as `/assets/index.js`. */
  readonly address: string;
  readonly type: string;
  readonly bytes: Buffer;
  /** What the server sends: compressed where that makes it smaller. */
  readonly sentBytes: number;
}

const types: Readonly<Record<string, string>> = {
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript",
  ".css": "text/css",
  ".svg": "image/svg+xml",
  ".woff2": "font/woff2",
};

/** The files of the built page. Throws if it is not built. */
export function readPageFiles(): PageFile[] {
  const folder = join(repositoryRoot, "dist/web");
  const names = readdirSync(folder, { recursive: true, withFileTypes: true }).filter((entry) =>
    entry.isFile(),
  );
  if (names.length === 0) throw new Error("the page is not built: run npm run build");
  return names.map((entry) => {
    const path = join(entry.parentPath, entry.name);
    const bytes = readFileSync(path);
    return {
      address: path.slice(folder.length).replaceAll("\\", "/"),
      type: types[extname(entry.name)] ?? "application/octet-stream",
      bytes,
      sentBytes: Math.min(bytes.length, gzipSync(bytes, { level: 9 }).length),
    };
  });
}
