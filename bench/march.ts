/*
 * Why: the coverage of all march tests is asked for by people who wait; the target is two seconds for five cells. Says
 * how long it takes and, to show that it did the work, how many faults were caught.
 */
import { simulateCoverage } from "../src/core/memory/faults/coverage.js";
import { openStore } from "../src/store/store.js";

const repeats = 5;
const tests = openStore().data.marchTests();
const sizes = [
  { addresses: 3, wordBits: 1 },
  { addresses: 5, wordBits: 1 },
  { addresses: 2, wordBits: 4 },
];

const results = sizes.map((size) => {
  const seconds: number[] = [];
  let detected = 0;
  let total = 0;
  for (let run = 0; run < repeats; run += 1) {
    detected = 0;
    total = 0;
    const started = performance.now();
    for (const { test } of tests) {
      for (const found of simulateCoverage(test, size).classes) {
        detected += found.detected;
        total += found.total;
      }
    }
    seconds.push((performance.now() - started) / 1000);
  }
  const mean = seconds.reduce((sum, value) => sum + value, 0) / repeats;
  const round = (value: number): number => Number(value.toFixed(3));
  return {
    ...size,
    tests: tests.length,
    meanSeconds: round(mean),
    minimumSeconds: round(Math.min(...seconds)),
    detected,
    total,
  };
});

console.log(JSON.stringify({ repeats, results }));
