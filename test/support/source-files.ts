import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join, relative } from "node:path";
import { fileURLToPath } from "node:url";

/** Absolute path of the repository's root, without a slash at its end. */
export const repositoryRoot = fileURLToPath(new URL("../..", import.meta.url)).replace(/\/$/, "");

/** Text of files by path relative to the repository, with forward slashes, in the order of the paths. */
export type FileTexts = ReadonlyMap<string, string>;

/** Paths of all files below `folder` (relative to the repository) that `wanted` accepts, sorted; none if it is absent. */
export function listFiles(folder: string, wanted: (path: string) => boolean): string[] {
  const root = join(repositoryRoot, folder);
  if (!existsSync(root)) return [];
  return readdirSync(root, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => relative(repositoryRoot, join(entry.parentPath, entry.name)).replaceAll("\\", "/"))
    .filter((path) => !path.includes("node_modules/") && wanted(path))
    .sort();
}

/** Text of one file of the repository. */
export function readRepositoryFile(path: string): string {
  return readFileSync(join(repositoryRoot, path), "utf8");
}

/** The texts of all files below `folder` that `wanted` accepts. */
export function readFiles(folder: string, wanted: (path: string) => boolean): FileTexts {
  return new Map(listFiles(folder, wanted).map((path) => [path, readRepositoryFile(path)]));
}

/** True for a TypeScript source that is part of the product, not a test. */
export function isProductSource(path: string): boolean {
  return /\.tsx?$/.test(path) && !/\.test\.tsx?$/.test(path);
}
