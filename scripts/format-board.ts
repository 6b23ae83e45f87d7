/**
 * Rewrites board files in their canonical text (a line for each part), so that hand edits stay readable in a diff.
 * Without file names it takes all of data/boards. With --check it changes nothing and ends with code 1 if a file is
 * not canonical.
 */
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { renderBoard } from "../src/app/board-text.js";
import { boardSchema } from "../src/core/board/board.js";

const folder = fileURLToPath(new URL("../data/boards/", import.meta.url));
const words = process.argv.slice(2);
const checkOnly = words.includes("--check");
const named = words.filter((word) => word !== "--check");
const files =
  named.length > 0
    ? named
    : readdirSync(folder)
        .filter((name) => name.endsWith(".json"))
        .map((name) => `${folder}${name}`);
for (const file of files) {
  const text = readFileSync(file, "utf8");
  const parsed = boardSchema.safeParse(JSON.parse(text));
  if (!parsed.success) {
    console.error(`${file}: ${parsed.error.message}`);
    process.exitCode = 3;
    continue;
  }
  const canonical = renderBoard(parsed.data);
  if (canonical === text) continue;
  if (checkOnly) {
    console.error(`${file} is not in canonical form; run npx tsx scripts/format-board.ts`);
    process.exitCode = 1;
  } else writeFileSync(file, canonical);
}
