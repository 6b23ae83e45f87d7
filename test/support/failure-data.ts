import { posix } from "node:path";
import { renderProblem } from "../../src/core/base/problem.js";
import { type FailureData, readFailureData } from "../../src/core/find/priors/failure-data.js";
import { readFiles } from "./source-files.js";

/** Parsed contents of the files in data/failure, by file name without folder and ending. */
export function readFailureFiles(): Record<string, unknown> {
  const texts = readFiles("data/failure", (path) => path.endsWith(".json"));
  return Object.fromEntries(
    [...texts].map(([path, text]) => [posix.basename(path, ".json"), JSON.parse(text)]),
  );
}

/** The failure data as it is delivered. Throws if its files have any problem. */
export function readInstalledFailureData(): FailureData {
  const { value, problems } = readFailureData(readFailureFiles());
  if (value === undefined || problems.length > 0) throw new Error(problems.map(renderProblem).join("\n"));
  return value;
}
