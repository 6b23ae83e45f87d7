import type { BenchDoor } from "../src/cli/bench-door.js";

/** For scripts that print what commands say and never touch anybody's jobs. */
export const noBench: BenchDoor = {
  openJobs: () => Promise.reject(new Error("scripts open no jobs")),
  serve: () => Promise.reject(new Error("scripts serve nothing")),
  showAddress: () => false,
  untilStopped: () => Promise.resolve(),
  now: () => "2026-01-01T00:00:00.000Z",
  newId: () => "00000000-0000-4000-8000-000000000000",
};

/** An input stream with nothing on it. */
export async function* noBytes(): AsyncGenerator<Uint8Array> {}
