#!/usr/bin/env node
import { openStore } from "../store/store.js";
import { decodeText, tooLarge } from "../store/text-file.js";
import { createProcessIo } from "./process-io.js";
import { run } from "./run.js";
import { readVersion } from "./version.js";

const io = createProcessIo({ decode: decodeText, tooLarge });
process.exitCode = await run(process.argv.slice(2), { io, store: openStore(), version: readVersion() });
io.close();
