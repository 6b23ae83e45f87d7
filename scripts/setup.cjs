/*
 * Installs the packages of the lock file, as `npm ci` does, and helps with the one of them that holds machine code: the
 * database. Where no ready-made build of it can be fetched it is compiled, against the headers that came with this Node
 * rather than a download, and with the compiler of the system. Further arguments go to npm.
 */
"use strict";

require("./require-node.cjs");
const { spawnSync } = require("node:child_process");
const { existsSync, readFileSync } = require("node:fs");
const { delimiter, dirname, join } = require("node:path");

const tools = ["python3", "make", "g++"];

/** The folder whose include/node holds the headers of this very Node; undefined if there is none. */
function ownHeaders() {
  const folder = dirname(dirname(process.execPath));
  const file = join(folder, "include", "node", "node_version.h");
  if (!existsSync(file)) return undefined;
  const text = readFileSync(file, "utf8");
  const parts = ["MAJOR", "MINOR", "PATCH"].map(
    (name) => (new RegExp(`#define NODE_${name}_VERSION (\\d+)`).exec(text) || [])[1],
  );
  return parts.join(".") === process.versions.node ? folder : undefined;
}

function isThere(command) {
  const folders = (process.env.PATH || "").split(delimiter);
  return folders.some((folder) => folder !== "" && existsSync(join(folder, command)));
}

function run(command, args, env) {
  const isWindows = process.platform === "win32";
  const { status } = spawnSync(command, args, { stdio: "inherit", env, shell: isWindows });
  return status === 0;
}

/** True if the tools for compiling are there now: Debian's, if this may install them. */
function getTools() {
  if (process.platform !== "linux" || process.getuid() !== 0 || !isThere("apt-get")) return false;
  console.error(`Installing what compiling the database needs: ${tools.join(", ")}.`);
  const env = Object.assign({}, process.env, { DEBIAN_FRONTEND: "noninteractive" });
  const install = ["install", "--yes", "--no-install-recommends"].concat(tools);
  return run("apt-get", ["update"], env) && run("apt-get", install, env);
}

const headers = ownHeaders();
const env = Object.assign({}, process.env);
if (headers !== undefined && !env.npm_config_nodedir) env.npm_config_nodedir = headers;
const install = () => run("npm", ["ci"].concat(process.argv.slice(2)), env);

if (!install()) {
  const missing = tools.filter((tool) => !isThere(tool));
  if (missing.length === 0 || process.platform === "win32" || !getTools() || !install()) {
    if (missing.length > 0)
      console.error(
        `Installing failed. If the reason above is the database (better-sqlite3): install ${missing.join(", ")} and run this again.`,
      );
    process.exitCode = 1;
  }
}
