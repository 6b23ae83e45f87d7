/**
 * Counts the fault classes of the repair histories kept outside the repository and writes the counts into
 * data/failure/field-factors.json. It exists so that the counts can be checked by whoever has the histories; it
 * takes over numbers, kinds of machine in general words, and case ids, nothing else.
 *
 * `tsx scripts/count-histories.ts` writes, `--check` only compares. Exit code 0: done, the same, or no data;
 * 1: the file differs; 3: the histories cannot be read.
 */
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { z } from "zod";
import { countHistories } from "../src/core/find/priors/count-histories.js";
import { fieldFactorsSchema, repairHistorySchema } from "../src/core/find/priors/field-data.js";

const dataFile = fileURLToPath(new URL("../data/failure/field-factors.json", import.meta.url));
const { BOARDWAKE_TEST_DATA: configured } = process.env;
const root = configured ?? fileURLToPath(new URL("../../shared/data", import.meta.url));
const historiesFile = `${root}/repair-histories/histories.jsonl`;

process.exitCode = main(process.argv.includes("--check"));

function main(checkOnly: boolean): number {
  if (!existsSync(historiesFile)) {
    process.stderr.write(`No repair histories at ${historiesFile}; the counts stay as they are.\n`);
    return 0;
  }
  const histories = readHistories();
  if (histories === undefined) return 3;
  const before = readFileSync(dataFile, "utf8");
  const counted = countHistories(histories);
  const after = before.replace(
    / {2}"counted": \{[\s\S]*\n {2}\}\n\}\n$/,
    `  "counted": ${renderCounted(counted)}\n}\n`,
  );
  fieldFactorsSchema.parse(JSON.parse(after));
  if (after === before) {
    process.stderr.write(`${counted.histories} histories counted; the file is up to date.\n`);
    return 0;
  }
  if (checkOnly) {
    process.stderr.write(`${dataFile} differs from the histories; run tsx scripts/count-histories.ts.\n`);
    return 1;
  }
  writeFileSync(dataFile, after);
  process.stderr.write(`${counted.histories} histories counted; ${dataFile} written.\n`);
  return 0;
}

function readHistories(): z.infer<typeof repairHistorySchema>[] | undefined {
  const lines = readFileSync(historiesFile, "utf8").split("\n");
  const histories = [];
  for (const [index, line] of lines.entries()) {
    if (line.trim() === "") continue;
    const parsed = repairHistorySchema.safeParse(parseJson(line));
    if (!parsed.success) {
      process.stderr.write(`${historiesFile}:${index + 1}: ${z.prettifyError(parsed.error)}\n`);
      return undefined;
    }
    histories.push(parsed.data);
  }
  return histories;
}

function parseJson(line: string): unknown {
  try {
    return JSON.parse(line);
  } catch {
    return undefined;
  }
}

/** One item per line, so that two versions of the file can be compared. */
function renderCounted(counted: ReturnType<typeof countHistories>): string {
  const list = (items: readonly unknown[]): string =>
    `[\n${items.map((item) => `      ${oneLine(item)}`).join(",\n")}\n    ]`;
  return [
    "{",
    `    "histories": ${counted.histories},`,
    `    "machineFamilies": ${list(counted.machineFamilies)},`,
    `    "classes": ${list(counted.classes)},`,
    `    "separateFaults": ${list(counted.separateFaults)}`,
    "  }",
  ].join("\n");
}

function oneLine(item: unknown): string {
  return JSON.stringify(item, null, 1).replaceAll(/\n */g, " ");
}
