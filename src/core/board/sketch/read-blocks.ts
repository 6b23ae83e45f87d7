import type { Parsed } from "../../base/problem.js";
import { type JsonOptions, renderPath } from "../read/json-places.js";
import { createProblemList } from "../read/problem-list.js";
import { readCheckedJson } from "../read/schema-problems.js";
import { type Blocks, blocksSchema } from "./blocks.js";
import { blockFlaws } from "./flaws.js";
import type { SketchData } from "./sketch.js";

/**
 * Reads a block description (JSON, `blocksSchema`) and checks that it can be sketched. The value is absent if there was
 * any error; problems carry file, line, column and field. Codes: those of `readCheckedJson` and of `blockFlaws`.
 */
export function parseBlocks(text: string, data: SketchData, options: JsonOptions = {}): Parsed<Blocks> {
  const problems = createProblemList(options.file);
  const read = readCheckedJson(text, blocksSchema, options);
  problems.addAll(read.problems);
  if (read.value === undefined) return { problems: problems.all() };
  const { value: blocks, document } = read.value;
  for (const { code, message, path } of blockFlaws(blocks, data)) {
    problems.error(code, message, { ...document.placeOf([...path]), field: renderPath([...path]) });
  }
  return problems.hasErrors() ? { problems: problems.all() } : { value: blocks, problems: problems.all() };
}
