/*
 * Why: the continuous build ends with one plain line, `N passed, N failed, N skipped`, that a person or a program
 * can read without knowing the test runner. Usage: node scripts/print-test-count.cjs <vitest's JSON results>.
 * Without such a file no test was reached, which it says. Plain JavaScript: it must run where installing failed.
 */
"use strict";

const { existsSync, readFileSync } = require("node:fs");

const [path] = process.argv.slice(2);
if (path === undefined) {
  console.error("usage: node scripts/print-test-count.cjs <results file>");
  process.exit(2);
}

const counts = { passed: 0, failed: 0, skipped: 0 };
if (existsSync(path)) {
  for (const file of JSON.parse(readFileSync(path, "utf8")).testResults) {
    const outcomes = file.assertionResults.map((test) => test.status);
    for (const outcome of outcomes) {
      if (outcome === "passed" || outcome === "failed") counts[outcome] += 1;
      else counts.skipped += 1;
    }
    // A file that could not be loaded has no tests to report, and must not pass for one without failures.
    if (file.status === "failed" && !outcomes.includes("failed")) counts.failed += 1;
  }
} else {
  console.log("no test was reached");
}
console.log(`${counts.passed} passed, ${counts.failed} failed, ${counts.skipped} skipped`);
