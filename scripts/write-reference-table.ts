/*
 * Why: one page shows every value from outside beside ours. This collects the rows of test/reference/<folder>/rows.ts
 * and writes test/reference/README.md; with --check it fails where the page is stale. The page is computed as if the
 * test data outside the repository were absent, so it does not depend on the machine; with --with-test-data the
 * table, with those rows computed, is printed instead of written.
 */
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { collectRows } from "../test/reference/support/collect-rows.js";
import { repositoryRoot, writeOrCheck } from "./generated-files.js";
import { renderReferenceTable } from "./render-reference-table.js";

const withTestData = process.argv.includes("--with-test-data");
if (!withTestData) process.env["BOARDWAKE_TEST_DATA"] = join(repositoryRoot, "test/reference/no-test-data");

const folders = await collectRows();
const withRows = new Set(["support", ...folders.map((folder) => folder.folder)]);
const others = readdirSync(join(repositoryRoot, "test/reference"), { withFileTypes: true })
  .filter((entry) => entry.isDirectory() && !withRows.has(entry.name))
  .map((entry) => entry.name)
  .sort();
const text = renderReferenceTable(folders, others);

if (withTestData) {
  process.stdout.write(text);
} else {
  writeOrCheck({
    files: [{ path: "test/reference/README.md", text }],
    left: [],
    check: process.argv.includes("--check"),
    command: "npm run reference-table",
  });
}
