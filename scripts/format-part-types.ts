/**
 * Rewrites data/part-types/*.json in their canonical text, so that hand edits stay readable in a diff.
 * With --check it changes nothing and ends with code 1 if a file is not canonical.
 */
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { partTypeFileSchema } from "../src/core/board/part-type.js";
import { renderPartTypeFile } from "../src/core/board/part-type-text.js";

const folder = new URL("../data/part-types/", import.meta.url);
const checkOnly = process.argv.includes("--check");
for (const name of readdirSync(folder).filter((file) => file.endsWith(".json"))) {
  const file = new URL(name, folder);
  const text = readFileSync(file, "utf8");
  const parsed = partTypeFileSchema.safeParse(JSON.parse(text));
  if (!parsed.success) {
    console.error(`${name}: ${parsed.error.message}`);
    process.exitCode = 3;
    continue;
  }
  const canonical = renderPartTypeFile(parsed.data);
  if (canonical === text) continue;
  if (checkOnly) {
    console.error(`${name} is not in canonical form; run npx tsx scripts/format-part-types.ts`);
    process.exitCode = 1;
  } else writeFileSync(file, canonical);
}
