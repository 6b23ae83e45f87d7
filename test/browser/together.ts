import { expect, it } from "vitest";
import { BenchPage, openJob, pellowStart, type Stage, soon } from "./support/pages.js";

/** Two pages on one job, and a program that goes away and comes back. */
export function together(stage: () => Stage): void {
  it("keeps two pages in step without a reload", async () => {
    const job = await openJob(stage(), { board: "pellow-16", title: "Two tabs", entries: pellowStart });
    const one = await BenchPage.open(stage());
    const other = await BenchPage.open(stage(), { width: 390, height: 844 });
    for (const bench of [one, other]) {
      await bench.go(stage(), `/job/${job}`);
      await bench.settled();
    }
    expect(await other.title()).toBe(await one.title());
    const before = await one.title();
    await one.page.locator(".answer").first().click();
    await expect.poll(() => other.title(), soon).not.toBe(before);
    await expect.poll(() => one.title(), soon).not.toBe(before);
    expect(await other.title()).toBe(await one.title());
    const lines = (bench: BenchPage): Promise<string[]> =>
      bench.page.locator(".log-words p:first-child").allInnerTexts();
    await expect.poll(() => lines(other), soon).toEqual(await lines(one));
    await one.close();
    await other.close();
  });

  it("keeps what is entered while the program is gone, through a reload, and sends it once", async () => {
    const job = await openJob(stage(), { board: "pellow-16", title: "Offline", entries: pellowStart });
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    await bench.go(stage(), `/job/${job}`);
    await bench.settled();
    const number = await page.locator(".log-line").count();
    const first = await bench.title();

    await stage().bench.kill();
    await page.getByText("no answer from the program").waitFor();
    await page.locator(".answer").first().click();
    await page.getByText(/no answer, 1 entry waits here/).waitFor();
    const field = page.getByRole("combobox", { name: /Saw or did/ });
    await field.fill("TP9.1 pulsing");
    await page.getByText(/Enter keeps the line/).waitFor();
    await field.press("Enter");
    await page.getByText(/no answer, 2 entries wait here/).waitFor();
    expect(await page.locator(".log-waiting").count()).toBe(2);
    await field.fill("TP10.1 l");

    await stage().bench.start();
    await page.getByText("in step").waitFor();
    await page.locator(".log-waiting").first().waitFor({ state: "detached" });
    await page
      .locator(".log-line:not(.log-waiting)", { hasText: "TP9.1 with the logic probe: pulsing" })
      .waitFor();
    await expect.poll(() => page.locator(".log-line").count(), soon).toBe(number + 2);
    await expect.poll(() => bench.title(), soon).not.toBe(first);

    await page.reload();
    await bench.settled();
    expect(await page.locator(".log-line").count()).toBe(number + 2);
    expect(await field.inputValue()).toBe("TP10.1 l");
    await bench.close();
  });
}
