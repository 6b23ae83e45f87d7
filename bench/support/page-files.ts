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
  /** True for what the first page needs; false for what is only fetched when a page of its own is opened. */
  readonly isFirst: boolean;
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
  const files = names.map((entry) => {
    const path = join(entry.parentPath, entry.name);
    const bytes = readFileSync(path);
    return {
      address: path.slice(folder.length).replaceAll("\\", "/"),
      type: types[extname(entry.name)] ?? "application/octet-stream",
      bytes,
      sentBytes: Math.min(bytes.length, gzipSync(bytes, { level: 9 }).length),
    };
  });
  const first = findFirst(new Map(files.map(({ address, bytes }) => [address, bytes])));
  return files.map((file) => ({ ...file, isFirst: first.has(file.address) }));
}

/** Addresses that the first page leads to: what its markup, its style sheets and its static imports name. */
function findFirst(files: ReadonlyMap<string, Buffer>): ReadonlySet<string> {
  const found = new Set<string>();
  const open = ["/index.html"];
  for (let address = open.pop(); address !== undefined; address = open.pop()) {
    const bytes = files.get(address);
    if (bytes === undefined || found.has(address)) continue;
    found.add(address);
    const pattern = patterns[extname(address)];
    if (pattern === undefined) continue;
    for (const { groups } of bytes.toString("utf8").matchAll(pattern)) {
      const named = groups?.["address"];
      if (named !== undefined) open.push(new URL(named, `http://page${address}`).pathname);
    }
  }
  return found;
}

// A module that is imported late stands in a call, `import("…")`, and is passed over.
const patterns: Readonly<Record<string, RegExp>> = {
  ".html": /\s(?:src|href)="(?<address>[^"#]+)"/g,
  ".css": /url\(\s*["']?(?<address>[^"')]+)/g,
  ".js": /(?:\bfrom|\bimport)\s*["'`](?<address>\.[^"'`]+\.js)["'`]/g,
};
