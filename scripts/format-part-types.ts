/**
 * Rewrites data/part-types/*.json and data/sketch/part-types.json in their canonical text, so that hand edits stay readable in a diff.
 * With --check it changes nothing and ends with code 1 if a file is not canonical.
 */
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { partTypeFileSchema } from "../src/core/board/part-type.js";
import { renderPartTypeFile } from "../src/core/board/part-type-text.js";

const data = new URL("../data/", import.meta.url);
const names = readdirSync(new URL("part-types/", data)).filter((file) => file.endsWith(".json"));
const checkOnly = process.argv.includes("--check");
for (const name of [...names.map((file) => `part-types/${file}`), "sketch/part-types.json"]) {
  const file = new URL(name, data);
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
