/*
 * Why: editors and other programs can check a data file only against JSON Schema, while our own code checks
 * it with zod. This writes data/schema/*.json from the zod schemas; with --check it fails where one is stale.
 */
import { existsSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { repositoryRoot, writeOrCheck } from "./generated-files.js";
import { renderSchemas } from "./render-schemas.js";

const files = renderSchemas();
const wanted = new Set(files.map((file) => file.path));
const folder = join(repositoryRoot, "data/schema");
const present = existsSync(folder) ? readdirSync(folder).map((name) => `data/schema/${name}`) : [];

writeOrCheck({
  files,
  left: present.filter((path) => !wanted.has(path)),
  check: process.argv.includes("--check"),
  command: "npm run schemas",
});
