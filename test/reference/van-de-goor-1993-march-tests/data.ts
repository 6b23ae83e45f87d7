import { readFileSync } from "node:fs";
import { z } from "zod";
import { type FaultClass, faultClasses } from "../../../src/core/memory/faults/fault.js";
import type { NamedMarchTest } from "../../../src/core/memory/march/march-tests.js";
import { openStore } from "../../../src/store/store.js";

const ids = z.array(z.string());
const counts = z.record(z.string(), z.array(z.int()));
const classes = z.array(z.enum(faultClasses));

/** The values of this folder. */
export const data = z
  .strictObject({
    published: z.record(z.string(), z.strictObject({ caught: ids, missed: ids })),
    classes,
    counts,
    totals: z.array(z.int()),
    couplingClasses: classes,
    couplingCounts: counts,
    lengths: z.record(z.string(), z.int()),
    operations: z.array(z.tuple([z.string(), z.int(), z.int()])),
    retention: z.array(z.tuple([z.string(), z.string(), z.int()])),
  })
  .parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));

/** The installed march tests. */
export const installedTests: readonly NamedMarchTest[] = openStore().data.marchTests();

/** The test with this id. Throws `RangeError` if there is none. */
export function testNamed(id: string): NamedMarchTest {
  const found = installedTests.find((test) => test.id === id);
  if (found === undefined) throw new RangeError(`there is no march test ${id}`);
  return found;
}

/** Classes of the simulator behind a column of the published table. */
export function classesOf(column: string): FaultClass[] {
  return faultClasses.filter((name) => (column === "AF" ? /^AF(and|or)$/.test(name) : name === column));
}
