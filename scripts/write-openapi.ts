/*
 * Why: whoever writes a program against the bench reads docs/api/openapi.json, not our sources. This writes it from the
 * schemas that the server checks requests with; with --check it fails where the file is stale.
 */
import { writeOrCheck } from "./generated-files.js";
import { renderOpenApi } from "./render-openapi.js";

writeOrCheck({
  files: [renderOpenApi()],
  left: [],
  check: process.argv.includes("--check"),
  command: "npx tsx scripts/write-openapi.ts",
});
