/*
 * Why: says what the rankings are worth on real repairs: each history's machine is sketched from its blocks, its symptoms
 * and readings are entered in order, and the rank of a block that was really faulty is kept.
 * `--page FILE` writes the page about it, `--list` prints what was not understood and each history's places.
 */
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { repositoryRoot } from "../scripts/generated-files.js";
import { findModelSchema } from "../src/core/find/model/model.js";
import { findCostsSchema } from "../src/core/find/plan/costs.js";
import { openInstalledData } from "../src/store/installed-data.js";
import { renderPage, summarise } from "./histories/page.js";
import { scoreHistory } from "./histories/score.js";
import { type History, historyPhrasesSchema, historySchema } from "./histories/vocabulary.js";

const { values } = parseArgs({
  options: { page: { type: "string", default: "" }, list: { type: "boolean", default: false } },
});

const folder = process.env["BOARDWAKE_TEST_DATA"] ?? join(repositoryRoot, "../shared/data");
const path = join(folder, "repair-histories/histories.jsonl");
if (!existsSync(path)) {
  console.error("skipped: the repair histories are not here (see BOARDWAKE_TEST_DATA)");
  console.log(JSON.stringify({ skipped: "the repair histories are not here" }));
} else run(readHistories());

function readHistories(): History[] {
  return readFileSync(path, "utf8")
    .split("\n")
    .filter((line) => line.trim() !== "")
    .map((line) => historySchema.parse(JSON.parse(line)));
}

function json(file: string): unknown {
  return JSON.parse(readFileSync(join(repositoryRoot, file), "utf8"));
}

function run(histories: readonly History[]): void {
  const data = openInstalledData(join(repositoryRoot, "data"));
  const library = data.partLibrary();
  const context = {
    histories,
    phrases: historyPhrasesSchema.parse(json("data/sketch/history-phrases.json")),
    sketch: { library, ...data.sketch() },
    find: {
      types: library,
      model: findModelSchema.parse(json("data/find/model.json")),
      costs: findCostsSchema.parse(json("data/find/costs.json")),
      failure: data.failureData(),
    },
  };
  const scored = histories.map((history) => {
    const one = scoreHistory(history, context);
    const places = one.standings.map(({ place }) => place ?? "-").join(" ");
    if (values.list) {
      console.error(`${one.id} ${one.left ?? places} [${history.fault_classes.join(" ")}]`);
      for (const [kind, { unmatched }] of Object.entries(one.words))
        for (const words of unmatched) console.error(`    ${kind}: ${words}`);
    }
    return one;
  });
  const summary = summarise(scored);
  if (values.page !== "") writeFileSync(values.page, renderPage(summary));
  console.log(JSON.stringify(summary));
}
