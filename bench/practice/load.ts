import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { repositoryRoot } from "../../scripts/generated-files.js";
import { boardSchema } from "../../src/core/board/board.js";
import { parsePartLibrary } from "../../src/core/board/part-library.js";
import { findModelSchema } from "../../src/core/find/model/model.js";
import { findCostsSchema } from "../../src/core/find/plan/costs.js";
import { type PreparedBoard, prepareBoard } from "../../src/core/find/prepare.js";
import { readFailureData } from "../../src/core/find/priors/failure-data.js";

function readText(path: string): string {
  return readFileSync(join(repositoryRoot, "data", path), "utf8");
}

function readJson(path: string): unknown {
  return JSON.parse(readText(path));
}

/** Prepares one of the boards in `data/boards`. */
export function loadPrepared(board: string): PreparedBoard {
  const library = parsePartLibrary(
    readdirSync(join(repositoryRoot, "data/part-types"))
      .filter((file) => file.endsWith(".json"))
      .map((file) => ({ file, text: readText(`part-types/${file}`) })),
  );
  const names = ["handbook-217f", "family-models", "mode-shares", "trade-factors", "field-factors", "events"];
  const failure = readFailureData(
    Object.fromEntries(names.map((name) => [name, readJson(`failure/${name}.json`)])),
  );
  if (library.value === undefined || failure.value === undefined)
    throw new Error("the installed data is damaged");
  return prepareBoard(boardSchema.parse(readJson(`boards/${board}.json`)), {
    types: library.value,
    model: findModelSchema.parse(readJson("find/model.json")),
    failure: failure.value,
    costs: findCostsSchema.parse(readJson("find/costs.json")),
  });
}
