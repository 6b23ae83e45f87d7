import { describe, expect, it } from "vitest";
import { findFaults } from "../../src/core/find/find.js";
import { caseOf, preparedBoard } from "../support/prepared-board.js";
import type { Diagnosis } from "./diagnosis.js";
import { merrowDiagnoses } from "./merrow.js";
import { pellowDiagnoses } from "./pellow-16.js";

describe.each([
  ["pellow-16", pellowDiagnoses],
  ["merrow", merrowDiagnoses],
] as const)("a restorer's cases on %s", (id, diagnoses: readonly Diagnosis[]) => {
  const prepared = preparedBoard(id);

  it.each(diagnoses.map((one) => [one.title, one] as const))(
    "%s",
    (_, { log, parts, rank, ahead, sections, why }) => {
      const result = findFaults(prepared, caseOf(log), { steps: 0 });
      expect(result.problems).toEqual([]);
      expect(result.contradiction, why).toBeNull();
      const leading = result.suspects.slice(0, rank).map(({ part }) => part);
      expect(
        parts.some((part) => leading.includes(part)),
        `${leading.join(", ")}: ${why}`,
      ).toBe(true);
      if (ahead !== undefined) {
        const [first, second] = ahead.map((ref) => result.suspects.findIndex(({ part }) => part === ref));
        expect(first, `${ahead.join(" ahead of ")}: ${why}`).toBeLessThan(second ?? -1);
      }
      const shares = new Map<string, number>();
      for (const { section, probability } of result.suspects) {
        const name = sections.includes(section) ? "expected" : section;
        shares.set(name, (shares.get(name) ?? 0) + probability);
      }
      const [first] = [...shares].sort((a, b) => b[1] - a[1]);
      expect(first?.[0], why).toBe("expected");
    },
  );
});
