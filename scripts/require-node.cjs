/*
 * Stops with one clear sentence where Node is too old for the rest of the project.
 * It runs before install, build, start and test, on any Node: keep to JavaScript that Node 6 understands.
 */
"use strict";

const oldestMajor = 20;
const found = process.versions.node;
const verdict = `boardwake needs Node ${oldestMajor} or newer; this is Node ${found}.`;

if (Number(found.split(".")[0]) < oldestMajor) {
  console.error(`${verdict} Install a newer one from https://nodejs.org and run the command again.`);
  process.exit(2);
}
