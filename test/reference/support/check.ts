import { existsSync } from "node:fs";
import { fileURLToPath } from "node:url";

/**
 * Where a published value comes from: read in a publication, recomputed by us from a stated definition
 * (nothing printed to compare with, or the print was checked by recomputing), or remembered only.
 * A value from memory may warn but never fails.
 */
export type ReferenceTag = "published" | "recomputed" | "from memory";

/** One comparison of a value from outside with the value our code computes. */
export interface ReferenceRow {
  /** What is compared, in words, with its unit where it has one. */
  readonly quantity: string;
  /** The value from outside; text for things that are no number, such as a list of sets. */
  readonly published: number | string;
  /** The value our code computes, or null when it could not be computed here; then `skipped` says why. */
  readonly ours: number | string | null;
  /** Largest allowed absolute difference; 0 for counts and text. */
  readonly tolerance: number;
  readonly tag: ReferenceTag;
  /** One line: why `ours` is null, for instance missing test data. */
  readonly skipped?: string;
}

/** How a row came out. "warn" is a mismatch of a value from memory. */
export type ReferenceVerdict = "pass" | "fail" | "warn" | "skipped";

/** A row with its outcome; `difference` is ours - published, null for text and for rows not computed. */
export interface CheckedRow extends ReferenceRow {
  readonly difference: number | null;
  readonly verdict: ReferenceVerdict;
}

// Room for the rounding of binary fractions when a difference sits exactly on its tolerance.
const roundingRatio = 1e-9;

/** Compares one row. Throws `RangeError` for a negative or non-finite tolerance. */
export function checkRow(row: ReferenceRow): CheckedRow {
  if (!(row.tolerance >= 0 && Number.isFinite(row.tolerance))) {
    throw new RangeError(`tolerance of "${row.quantity}" must be zero or more, got ${row.tolerance}`);
  }
  if (row.ours === null) return { ...row, difference: null, verdict: "skipped" };
  const mismatch: ReferenceVerdict = row.tag === "from memory" ? "warn" : "fail";
  if (typeof row.ours === "number" && typeof row.published === "number") {
    const difference = row.ours - row.published;
    const allowed = row.tolerance + roundingRatio * Math.max(row.tolerance, Number.EPSILON);
    return { ...row, difference, verdict: Math.abs(difference) <= allowed ? "pass" : mismatch };
  }
  return { ...row, difference: null, verdict: row.ours === row.published ? "pass" : mismatch };
}

/** One line saying what was expected and what came out. */
export function describeRow(row: CheckedRow): string {
  const end = row.difference === null ? "" : `, difference ${row.difference}, tolerance ${row.tolerance}`;
  return `${row.quantity}: published ${row.published} (${row.tag}), ours ${row.ours ?? row.skipped ?? "not computed"}${end}`;
}

/** Half a unit in the last printed place: the tolerance for a value printed with `decimals` decimals. */
export function halfLastPlace(decimals: number): number {
  return 0.5 * 10 ** -decimals;
}

/**
 * Path of a file or folder of the test data kept outside the repository, or null where it is absent.
 * The root is the environment variable BOARDWAKE_TEST_DATA, else `../shared/data` beside the repository.
 */
export function testDataPath(relativePath: string): string | null {
  const { BOARDWAKE_TEST_DATA: configured } = process.env;
  const root = configured ?? fileURLToPath(new URL("../../../../shared/data", import.meta.url));
  const path = `${root}/${relativePath}`;
  return existsSync(path) ? path : null;
}
