import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { createRandom } from "../../src/core/base/random.js";
import { killWriter, makeKillDatabase } from "./kill-writer.js";

const kills = 8;
let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "boardwake-kill-"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe("a writer that is killed in the middle of its work", () => {
  it("leaves every confirmed entry in a sound log", async () => {
    const file = join(folder, "jobs.db");
    makeKillDatabase(file);
    const confirmed = new Map<number, string>();
    const random = createRandom(11);
    for (let i = 0; i < kills; i += 1) {
      const outcome = await killWriter(file, confirmed, random);
      expect(outcome).toMatchObject({ lost: 0, isSound: true });
      expect(outcome.confirmed).toBeGreaterThan(0);
    }
  });
});
