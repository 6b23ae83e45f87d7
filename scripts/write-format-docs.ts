/*
 * Why: people write logs and board files by hand and read our JSON in scripts; what they are told about the fields must
 * be what the schemas say. This writes docs/formats/*.md; with --check it fails where one is stale.
 */
import { renderFormatPages } from "./format-pages.js";
import { writeOrCheck } from "./generated-files.js";

writeOrCheck({
  files: renderFormatPages(),
  left: [],
  check: process.argv.includes("--check"),
  command: "npx tsx scripts/write-format-docs.ts",
});
