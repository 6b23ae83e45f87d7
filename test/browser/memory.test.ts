import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { brokenRules } from "./support/broken-rules.js";
import { tabTo } from "./support/keys.js";
import { BenchPage, openJob, openStage, pellowStart, type Stage } from "./support/pages.js";

vi.setConfig({ testTimeout: 300_000, hookTimeout: 120_000 });

let opened: Stage | undefined;

function stage(): Stage {
  if (opened === undefined) throw new Error("neither program nor browser is running");
  return opened;
}

beforeAll(async () => {
  opened = await openStage();
});
afterAll(async () => {
  await opened?.browser.close();
  await opened?.bench.close();
});

/** One column of U22 (data bit 5) as a test program would print it. */
const column = Array.from({ length: 128 }, (_, row) => `${(0x2800 + row).toString(16)} FF DF`).join("\n");

async function openMemory(bench: BenchPage, board: "pellow-16" | "merrow"): Promise<string> {
  const job = await openJob(stage(), { board, title: `Memory of ${board}`, entries: pellowStart.slice(2) });
  await bench.go(stage(), `/job/${job}/memory`);
  await bench.page.getByLabel("Address, expected, read").waitFor();
  return job;
}

async function explain(page: Page): Promise<void> {
  await page.getByLabel("Address, expected, read").fill(column);
  await page.getByRole("button", { name: "Explain" }).click();
  await page.locator(".cells").waitFor();
}

describe("the memory page", () => {
  it("leads from the job's menu, by keyboard alone, to evidence in the log", async () => {
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    const job = await openJob(stage(), { board: "pellow-16", title: "By keys", entries: pellowStart });
    await bench.go(stage(), `/job/${job}`);
    await bench.settled();
    const before = await bench.title();
    await tabTo(page, /^\s*More/);
    await page.keyboard.press("Enter");
    await tabTo(page, /Memory: failing addresses/);
    await page.keyboard.press("Enter");
    const field = page.getByLabel("Address, expected, read");
    await field.waitFor();
    await field.focus();
    await page.keyboard.insertText(column);
    await tabTo(page, /^\s*Explain\s*$/);
    await page.keyboard.press("Enter");
    await page.locator(".cells").waitFor();
    expect(await page.locator(".explained-title").first().innerText()).toContain("One column of U22 is bad");
    await tabTo(page, /Add to the log as evidence/);
    await page.keyboard.press("Enter");
    await page.locator(".step").waitFor();
    await bench.settled();
    expect(await page.locator(".log, main").first().innerText()).toContain("One column of U22 is bad");
    expect(await bench.title()).not.toBe(before);
    await bench.close();
  });

  it("draws the chips as cells, and the screen as that column would spoil it", async () => {
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    await openMemory(bench, "pellow-16");
    await explain(page);
    expect(await page.locator(".cells-panel").count()).toBe(8);
    expect(await page.locator('.cells-panel[data-failing="true"]').innerText()).toMatch(
      /U22\s+data bit 5: 128 of 16384 fail/,
    );
    await page.getByRole("button", { name: /What would I see: One column/ }).click();
    await page.getByText("in lines 65 to 68 from the top").waitFor();
    await bench.close();
  });

  it("finds the bit behind stripes, and behind a wrong character", async () => {
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    await openMemory(bench, "pellow-16");
    await page.getByLabel("Which of them, from the left").fill("3");
    await page.getByRole("button", { name: "Which fault makes this?" }).click();
    await page.locator(".seen-matches").getByText("U22: data bit 5 always high").waitFor();
    await openMemory(bench, "merrow");
    await page.getByLabel("Should be").fill("0x20");
    await page.getByLabel("Is", { exact: true }).fill("$");
    await page.getByRole("button", { name: "Which fault makes this?" }).click();
    await page.locator(".seen-matches").getByText("U33: data bit 2 always high").waitFor();
    await bench.close();
  });

  it("says in one sentence what is wrong with a list", async () => {
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    await openMemory(bench, "pellow-16");
    await page.getByLabel("Address, expected, read").fill("$2000,$FF,$FB\n0x2001,0xFF,0xFB");
    await page.getByRole("button", { name: "Explain" }).click();
    expect(await page.getByRole("alert").innerText()).toContain("Line 2");
    await bench.close();
  });

  it("reads the self-test's signals by touch, and hands out the image that passed its trials", async () => {
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    const job = await openMemory(bench, "merrow");
    await page.getByLabel("Test only").fill("2000-21FF");
    await page.getByRole("button", { name: "Show the sheet" }).click();
    await page.locator(".taps").waitFor();
    for (const name of ["Short", "Long", "Long"])
      await page.getByRole("button", { name, exact: true }).click();
    await page.getByRole("button", { name: "Take this message" }).click();
    await page.getByRole("button", { name: "Build the image" }).click();
    const saved = page.waitForEvent("download");
    await page.getByRole("button", { name: "Binary" }).click();
    expect((await saved).suggestedFilename()).toBe("merrow-self-test.bin");
    await page.getByRole("button", { name: "What does it say?" }).click();
    await page.locator(".taps .fails-log").getByText("Self-test: data bit 3").waitFor();
    await page.locator(".taps").getByRole("button", { name: "Add to the log as evidence" }).click();
    await page.waitForURL(new RegExp(`#/job/${job}$`));
    await page.locator("main").getByText("Self-test: data bit 3").first().waitFor();
    await bench.close();
  });

  it.each(["light", "dark"] as const)(
    "breaks no rule in %s, and its targets suit a finger",
    async (colorScheme) => {
      const bench = await BenchPage.open(stage(), { colorScheme });
      const { page } = bench;
      await openMemory(bench, "pellow-16");
      await explain(page);
      await page.getByRole("button", { name: "Show the sheet" }).click();
      await page.locator(".taps").waitFor();
      await page.locator(".screen").first().waitFor();
      expect(await brokenRules(page, "memory")).toEqual([]);
      for (const width of [390, 820, 1180]) {
        await page.setViewportSize({ width, height: 900 });
        const low = await page
          .locator(".memory-page button, .memory-page select, .memory-page input")
          .evaluateAll((all) =>
            all.filter((one) => one.getBoundingClientRect().height < 44).map((one) => one.textContent),
          );
        expect(low).toEqual([]);
        const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
        expect(over).toBeLessThanOrEqual(0);
      }
      await bench.close();
    },
  );
});
