import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { countHistories } from "../src/core/find/priors/count-histories.js";
import { repairHistorySchema } from "../src/core/find/priors/field-data.js";
import { testDataPath } from "./reference/support/check.js";
import { readInstalledFailureData } from "./support/failure-data.js";
import { readRepositoryFile } from "./support/source-files.js";

const path = testDataPath("repair-histories/histories.jsonl");
if (path === null)
  console.warn("skipped: the repair histories are not here, so their counts are not recounted");

describe("the counts of the repair histories", () => {
  it.runIf(path !== null)("are what the histories give", () => {
    const lines = readFileSync(path ?? "", "utf8").split("\n");
    const histories = lines
      .filter((line) => line.trim() !== "")
      .map((line) => repairHistorySchema.parse(JSON.parse(line)));
    expect(readInstalledFailureData()["field-factors"].counted).toEqual(countHistories(histories));
  });

  it("hold no address", () => {
    expect(readRepositoryFile("data/failure/field-factors.json")).not.toMatch(
      /https?:|www\.|\.(com|org|net|de)\b/,
    );
  });
});
