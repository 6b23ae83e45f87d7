/*
 * Why: what the guide shows must be what the program prints. This runs the commands marked in docs/guide/finding-a-fault.md
 * and puts their output below the marks; with --check it fails where one is stale.
 */
import { writeOrCheck } from "./generated-files.js";
import { renderGuide } from "./guide-output.js";

writeOrCheck({
  files: [await renderGuide()],
  left: [],
  check: process.argv.includes("--check"),
  command: "npx tsx scripts/write-guide-output.ts",
});
