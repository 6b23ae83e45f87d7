import { type Coverage, simulateCoverage } from "../../../src/core/memory/faults/coverage.js";
import type { FaultClass } from "../../../src/core/memory/faults/fault.js";
import { operationCount, operationsPerAddress } from "../../../src/core/memory/march/march.js";
import { parseMarch } from "../../../src/core/memory/march/notation.js";
import type { ReferenceRow } from "../support/check.js";
import { classesOf, data, installedTests, testNamed } from "./data.js";

/** The published marks, the exact counts for three cells, lengths, operation counts, and the two pauses. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  const coverage = new Map(
    installedTests.map(({ id, test }) => [id, simulateCoverage(test, { addresses: 3, wordBits: 1 })]),
  );
  return [
    ...publishedRows(coverage),
    ...countRows(coverage, data.classes, data.counts),
    ...countRows(coverage, data.couplingClasses, data.couplingCounts),
    ...lengthRows(),
    ...retentionRows(),
  ];
}

function publishedRows(coverage: ReadonlyMap<string, Coverage>): ReferenceRow[] {
  return Object.entries(data.published).map(([column, { caught, missed }]) => {
    const full = [...caught, ...missed].filter((id) =>
      classesOf(column).every((name) => {
        const found = coverage.get(id)?.classes.find(({ faultClass }) => faultClass === name);
        return found !== undefined && found.detected === found.total;
      }),
    );
    return {
      quantity: `${column}: tests that catch the whole class`,
      published: [...caught].sort().join(" "),
      ours: full.sort().join(" "),
      tolerance: 0,
      tag: "from memory",
    };
  });
}

function countRows(
  coverage: ReadonlyMap<string, Coverage>,
  classes: readonly FaultClass[],
  counts: Readonly<Record<string, readonly number[]>>,
): ReferenceRow[] {
  return Object.entries(counts).map(([id, expected]) => {
    const ours = classes.map(
      (name) => coverage.get(id)?.classes.find(({ faultClass }) => faultClass === name)?.detected,
    );
    return {
      quantity: `${testNamed(id).title}, 3 cells, caught of ${classes.join(" ")}`,
      published: expected.join(" "),
      ours: ours.join(" "),
      tolerance: 0,
      tag: "recomputed",
    };
  });
}

function lengthRows(): ReferenceRow[] {
  const exact = { tolerance: 0, tag: "published" } as const;
  return [
    ...Object.entries(data.lengths).map(([id, length]) => ({
      ...exact,
      quantity: `${testNamed(id).title}: operations per cell`,
      published: length,
      ours: operationsPerAddress(testNamed(id).test),
    })),
    ...data.operations.map(([id, cells, operations]) => ({
      ...exact,
      quantity: `${testNamed(id).title}, ${cells} cells: operations`,
      published: operations,
      ours: operationCount(testNamed(id).test, cells),
    })),
  ];
}

function retentionRows(): ReferenceRow[] {
  return data.retention.map(([title, notation, caught]) => {
    const { value } = parseMarch(notation);
    const options = { addresses: 4, wordBits: 1, classes: ["DRF"] } as const;
    return {
      quantity: `March C- with ${title}: retention faults of 4 cells caught, of 8`,
      published: caught,
      ours: value === undefined ? null : (simulateCoverage(value, options).classes[0]?.detected ?? null),
      tolerance: 0,
      tag: "recomputed",
    };
  });
}
