import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

/** Absolute path of the repository's root. */
export const repositoryRoot = fileURLToPath(new URL("..", import.meta.url));

/** A file whose content is computed from other files of the repository. */
export interface GeneratedFile {
  /** Path relative to the repository. */
  readonly path: string;
  readonly text: string;
}

/** Paths whose content on disk differs from what they should hold now. */
export function findStaleFiles(files: readonly GeneratedFile[]): string[] {
  return files.filter((file) => readText(file.path) !== file.text).map((file) => file.path);
}

/**
 * Writes the files, or with `check` only compares them and sets exit code 1 where one is stale.
 * `command` is what the user runs to bring them up to date; `left` are files that should no longer exist.
 */
export function writeOrCheck(options: {
  readonly files: readonly GeneratedFile[];
  readonly left: readonly string[];
  readonly check: boolean;
  readonly command: string;
}): void {
  const stale = findStaleFiles(options.files);
  if (options.check) {
    const lines = [
      ...stale.map((path) => `${path} is not up to date`),
      ...options.left.map((path) => `${path} belongs to nothing any more`),
    ];
    for (const line of lines) console.error(`${line}; run: ${options.command}`);
    if (lines.length > 0) process.exitCode = 1;
    else console.log(`${options.files.length} generated files are up to date (${options.command})`);
    return;
  }
  for (const file of options.files) {
    const path = join(repositoryRoot, file.path);
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, file.text);
  }
  for (const path of options.left) rmSync(join(repositoryRoot, path));
  console.log(`${options.files.length} files written, ${stale.length} of them changed`);
}

function readText(path: string): string | undefined {
  try {
    return readFileSync(join(repositoryRoot, path), "utf8");
  } catch {
    return undefined;
  }
}
