// Stands in for the engine's thread: answers the first order of its life, and never comes back from the second.
import { parentPort } from "node:worker_threads";

let orders = 0;
parentPort?.on("message", ({ ticket }) => {
  orders += 1;
  if (orders === 1) parentPort?.postMessage({ kind: "done", ticket, result: { ready: true } });
  else Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0);
});
