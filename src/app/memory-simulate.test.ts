import { describe, expect, it } from "vitest";
import { runCli } from "../../test/support/cli.js";
import { simulateOutputSchema } from "./output/memory-output.js";

async function simulate(...words: string[]): Promise<{ code: number; out: string; err: string }> {
  return runCli(["memory", "simulate", ...words]);
}

describe("boardwake memory simulate", () => {
  it("prints caught and total by class", async () => {
    const { code, out } = await simulate("--march", "{⇕(w0);⇑(r0,w1);⇓(r1,w0)}", "--cells", "5", "--json");
    expect(code).toBe(0);
    const printed = simulateOutputSchema.parse(JSON.parse(out));
    expect(printed.TF).toEqual([5, 10]);
    expect(printed.AFand).toEqual([90, 90]);
    const named = await simulate("--march", "MATS+", "--json");
    expect(named.out).toBe(out);
  });

  it("says for people what was simulated", async () => {
    const { code, out } = await simulate("--march", "march-c-", "--cells", "2", "--width", "8");
    expect(code).toBe(0);
    expect(out).toContain("2 words of 8 bits, backgrounds 00, 55, 33, 0F: 80 operations.");
    expect(out).toContain("Tried with 128 initial contents.");
    expect(out).toMatch(/TF {9}32 of 32 {5}all {3}transition/);
  });

  it.each([
    [["--march", "march-z"], 2, "no march test called 'march-z'. Did you mean"],
    [["--march", "^(r0,x1)"], 3, 'Expected r0, r1, w0 or w1, got "x1"'],
    [["--march", "mats", "--cells", "1"], 2, "--cells takes"],
    [["--march", "mats", "--cells", "5", "--width", "8"], 2, "at most 32 bits"],
    [["--march", "mats", "--cells", "x"], 2, "whole number"],
    [["--march", "mats", "--width", "17"], 2, "--width takes 1 to 16"],
    [["--march", "mats", "--width", "2", "--backgrounds", "0,5"], 2, "got '5'"],
    [["--march", "*(w0);".repeat(9)], 2, "at most 8 elements"],
    [[], 2, "--march"],
  ])("%j ends with code %i", async (words, code, sentence) => {
    const run = await simulate(...words);
    expect(run).toMatchObject({ code, out: "" });
    expect(run.err).toContain(sentence);
  });
});
