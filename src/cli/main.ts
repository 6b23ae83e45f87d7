#!/usr/bin/env node
import { randomUUID } from "node:crypto";
import { join } from "node:path";
import { openStore } from "../store/store.js";
import { decodeText, tooLarge } from "../store/text-file.js";
import type { BenchDoor } from "./bench-door.js";
import { createProcessIo } from "./process-io.js";
import { run } from "./run.js";
import { showAddress } from "./show-address.js";
import { readVersion } from "./version.js";

// Database and server are loaded by the commands that need them: the others start without.
const bench: BenchDoor = {
  openJobs: async (folder) => {
    const { openJobStore } = await import("../store/jobs/job-store.js");
    const { databaseName, usualFolder } = await import("../store/jobs/data-folder.js");
    return openJobStore(join(folder ?? usualFolder(), databaseName));
  },
  serve: async ({ folder, ...wish }) => {
    const { serveBench } = await import("../server/main.js");
    return serveBench({ ...wish, ...(folder === undefined ? {} : { folder }) });
  },
  showAddress,
  untilStopped: () =>
    new Promise((resolve) => {
      process.once("SIGINT", () => resolve());
      process.once("SIGTERM", () => resolve());
    }),
  now: () => new Date().toISOString(),
  newId: randomUUID,
};

const io = createProcessIo({ decode: decodeText, tooLarge });
const context = { io, store: openStore(), bench, version: readVersion() };
process.exitCode = await run(process.argv.slice(2), context);
io.close();
