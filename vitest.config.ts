import { defineConfig } from "vitest/config";

// The continuous build asks for a machine-readable copy of the results, to print one plain count at its end.
const { BOARDWAKE_TEST_RESULTS: resultsFile } = process.env;

export default defineConfig({
  test: {
    include: ["src/**/*.test.ts", "test/**/*.test.ts"],
    testTimeout: 120_000,
    reporters: resultsFile === undefined ? ["default"] : ["default", ["json", { outputFile: resultsFile }]],
  },
});
