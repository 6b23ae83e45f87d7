/*
 * Why: the picture in the README must show what the program prints today. This runs the guided session and writes
 * docs/images/find-session.svg from its output; with --check it fails where the picture is stale.
 */
import { writeOrCheck } from "./generated-files.js";
import { renderSessionPicture } from "./session-picture.js";

writeOrCheck({
  files: [await renderSessionPicture()],
  left: [],
  check: process.argv.includes("--check"),
  command: "npx tsx scripts/write-session-picture.ts",
});
