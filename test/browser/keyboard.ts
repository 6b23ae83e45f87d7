import { expect, it } from "vitest";
import { tabTo } from "./support/keys.js";
import { BenchPage, openJob, pellowStart, type Stage, soon } from "./support/pages.js";

/** The whole page by keyboard alone. */
export function keyboard(stage: () => Stage): void {
  it("opens a job, passes the gate and answers a step", async () => {
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    await bench.go(stage(), "/");
    await page.getByRole("heading", { name: "On the bench" }).waitFor();
    await tabTo(page, /New job/);
    await page.keyboard.press("Enter");
    await page.getByRole("button", { name: /^Pellow 16/ }).waitFor();
    await tabTo(page, /Pellow 16Invented/);
    await page.keyboard.press("Enter");
    await tabTo(page, /One even field inside/);
    await page.keyboard.press("Space");
    await tabTo(page, /Begin/);
    await page.keyboard.press("Enter");
    await page.getByRole("group", { name: /Tick each/ }).waitFor();
    const checks = await page.getByRole("checkbox").count();
    for (let i = 0; i < checks; i += 1) {
      await page.keyboard.press("Tab");
      while (!(await page.evaluate(() => document.activeElement?.matches(".gate-line input") === true))) {
        await page.keyboard.press("Tab");
      }
      await page.keyboard.press("Space");
    }
    await bench.settled();
    await tabTo(page, /All is well/);
    await page.keyboard.press("Enter");
    await page.getByText("Supply check passed").first().waitFor();
    await bench.settled();
    await bench.close();
  });

  it("answers by number, goes to the line by a slash, undoes by u, and leaves all of it alone when told so", async () => {
    const job = await openJob(stage(), { board: "pellow-16", title: "Keys", entries: pellowStart });
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    await bench.go(stage(), `/job/${job}`);
    await bench.settled();
    const first = await bench.title();
    await page.keyboard.press("1");
    await expect.poll(() => bench.title(), soon).not.toBe(first);
    await bench.settled();
    await page.keyboard.press("u");
    await expect.poll(() => bench.title(), soon).toBe(first);
    await bench.settled();
    await page.keyboard.press("/");
    await page.keyboard.type("TP9.1 pulsing");
    await page.keyboard.press("Enter");
    await page
      .locator(".log-line:not(.log-waiting)", { hasText: "TP9.1 with the logic probe: pulsing" })
      .waitFor();
    await bench.settled();

    await bench.go(stage(), "/settings");
    await page.getByLabel("Single keys act at once").uncheck();
    await bench.go(stage(), `/job/${job}`);
    await bench.settled();
    const lines = await page.locator(".log-line").count();
    await page.keyboard.press("1");
    await page.keyboard.press("u");
    await page.waitForTimeout(300);
    expect(await page.locator(".log-line").count()).toBe(lines);
    await bench.close();
  });

  it("walks the map from part to part and from pin to pin", async () => {
    const job = await openJob(stage(), { board: "pellow-16", title: "Map", entries: pellowStart });
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    await bench.go(stage(), `/job/${job}`);
    await bench.settled();
    await page.keyboard.press("m");
    const words = page.locator(".map-spot-words");
    await page.keyboard.press("ArrowRight");
    await words.waitFor();
    const from = await words.innerText();
    // The walk may begin at a pin, where the probe goes; Escape leads to its part.
    if (/ pin /.test(from)) await page.keyboard.press("Escape");
    const part = (await words.innerText()).split(",")[0] ?? "";
    await page.keyboard.press("ArrowRight");
    expect((await words.innerText()).split(",")[0]).not.toBe(part);
    await page.keyboard.press("ArrowLeft");
    await page.keyboard.press("Enter");
    const pin = await words.innerText();
    expect(pin).toMatch(/ pin /);
    await page.keyboard.press("ArrowDown");
    expect(await words.innerText()).not.toBe(pin);
    await page.keyboard.press("Escape");
    expect(await words.innerText()).not.toMatch(/ pin /);
    await bench.close();
  });
}
