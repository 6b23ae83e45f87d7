import { describe, expect, it } from "vitest";
import { failureModeIdSchema, failureModeIds, failureModes } from "./failure-mode.js";

describe("failure modes", () => {
  it("gives each id one sentence that no other id has", () => {
    const meanings = failureModeIds.map((id) => failureModes[id]);
    expect(new Set(meanings).size).toBe(meanings.length);
    for (const meaning of meanings) expect(meaning).toMatch(/^[A-Z].*\.$/);
  });

  it("accepts its own ids and rejects others", () => {
    for (const id of failureModeIds) expect(failureModeIdSchema.parse(id)).toBe(id);
    expect(failureModeIdSchema.safeParse("broken").success).toBe(false);
  });
});
