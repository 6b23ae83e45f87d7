import { describe, expect, it } from "vitest";
import { readFailureFiles, readInstalledFailureData } from "../../../../test/support/failure-data.js";
import { type FailureData, readFailureData } from "./failure-data.js";

/** Messages about a copy of the installed data that `change` has damaged. */
function messagesAfter(change: (data: FailureData) => void): string[] {
  const data = structuredClone(readInstalledFailureData());
  change(data);
  const { value, problems } = readFailureData(data);
  expect(value).toBeUndefined();
  return problems.map((problem) => `${problem.where.file}: ${problem.message}`);
}

describe("the failure data", () => {
  it("is sound as delivered", () => {
    expect(readFailureData(readFailureFiles()).problems).toEqual([]);
  });

  it("names the file of a missing or malformed part", () => {
    const { events: _, ...rest } = readFailureFiles();
    const missing = readFailureData(rest);
    expect(missing.value).toBeUndefined();
    expect(missing.problems[0]?.where.file).toBe("data/failure/events.json");
    const odd = readFailureData({ ...readFailureFiles(), events: { formatVersion: 2 } });
    expect(odd.problems.map((problem) => problem.where.field)).toContain("formatVersion");
  });

  it.each<[string, (data: FailureData) => void, RegExp]>([
    [
      "a family without a model",
      (data) => data["family-models"].families.shift(),
      /no entry for capacitor-aluminium/,
    ],
    ["a family without modes", (data) => data["mode-shares"].families.shift(), /no entry for logic-bipolar/],
    [
      "two entries for a family",
      (data) => data["mode-shares"].families.push(...data["mode-shares"].families.slice(0, 1)),
      /two entries for logic-bipolar/,
    ],
    [
      "a mode without manifestation",
      (data) => data["mode-shares"].manifestations.pop(),
      /no entry for wrong-part/,
    ],
    [
      "a published list that does not sum up",
      (data) => Object.assign(data["mode-shares"].distributions[0]?.shares[0] ?? {}, { share: 0.1 }),
      /shares of digital-bipolar sum to/,
    ],
    [
      "a published mode that is not used",
      (data) => data["mode-shares"].families[0]?.map.shift(),
      /no entry for output stuck high/,
    ],
    [
      "an unknown distribution",
      (data) => Object.assign(data["mode-shares"].families[0] ?? {}, { distribution: "guess" }),
      /no known distribution: guess/,
    ],
    ["an event that is missing", (data) => data.events.events.shift(), /no entry for dropped/],
    [
      "a class no group counts",
      (data) => data["field-factors"].groups.shift(),
      /no entry for external-supply/,
    ],
    ["no group for the rest", (data) => data["field-factors"].groups.pop(), /must take whatever is left/],
    [
      "a group that counts an unknown class",
      (data) => data["field-factors"].groups[0]?.classes.push("ghosts"),
      /unknown class ghosts/,
    ],
  ])("rejects %s", (_, change, message) => {
    expect(messagesAfter(change).join("\n")).toMatch(message);
  });

  it("keeps the counts within the table over three more histories", () => {
    const { table, counted } = readInstalledFailureData()["field-factors"];
    expect(table.histories - counted.histories).toBe(3);
    for (const { class: name, main, any } of counted.classes) {
      const row = table.classes.find((entry) => entry.class === name);
      expect(any.length, name).toBeLessThanOrEqual(row?.any ?? 0);
      expect(main, name).toBeLessThanOrEqual(row?.main ?? 0);
      expect((row?.any ?? 0) - any.length, name).toBeLessThanOrEqual(3);
    }
  });
});
