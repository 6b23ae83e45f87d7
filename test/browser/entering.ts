import { expect, it } from "vitest";
import { BenchPage, openJob, pellowStart, type Stage, soon } from "./support/pages.js";

/** Free entry, undo, what cannot be done, and what a mistake is answered with. */
export function entering(stage: () => Stage): void {
  const open = async (title: string): Promise<BenchPage> => {
    const job = await openJob(stage(), { board: "pellow-16", title, entries: pellowStart });
    const bench = await BenchPage.open(stage());
    await bench.go(stage(), `/job/${job}`);
    await bench.settled();
    return bench;
  };

  it("echoes what a line was understood as, completes it, and takes it", async () => {
    const bench = await open("Free entry");
    const { page } = bench;
    const field = page.getByRole("combobox", { name: /Saw or did/ });
    await field.fill("U12.6 puls");
    await page.getByRole("option", { name: "U12.6 pulsing", exact: true }).waitFor();
    await field.press("ArrowDown");
    await field.press("Enter");
    expect((await field.inputValue()).trim()).toBe("U12.6 pulsing");
    await page.locator(".entry-echo", { hasText: "U12.6 with the logic probe: pulsing" }).waitFor();
    await field.press("Enter");
    await page
      .locator(".log-line:not(.log-waiting)", { hasText: "U12.6 with the logic probe: pulsing" })
      .waitFor();
    expect(await field.inputValue()).toBe("");
    await bench.close();
  });

  it("says what is wrong with a line and changes nothing", async () => {
    const bench = await open("A slip");
    const { page } = bench;
    const before = await page.locator(".log-line").count();
    const field = page.getByRole("combobox", { name: /Saw or did/ });
    await field.fill("U99.6 pulsing");
    await page.locator(".entry-echo strong").waitFor();
    expect(await page.locator(".entry-echo").innerText()).toContain("U99");
    await field.press("Enter");
    await page.waitForTimeout(300);
    expect(await page.locator(".log-line").count()).toBe(before);
    expect(await field.inputValue()).toBe("U99.6 pulsing");
    await bench.close();
  });

  it("undoes an answer: the entry is struck out, the step comes back, and it can be put back", async () => {
    const bench = await open("Undo");
    const { page } = bench;
    const first = await bench.title();
    await page.locator(".answer").first().click();
    await expect.poll(() => bench.title(), soon).not.toBe(first);
    await bench.settled();
    await page.getByRole("button", { name: /Undo/ }).click();
    await expect.poll(() => bench.title(), soon).toBe(first);
    expect(await page.locator(".log-line[data-struck=true]").count()).toBe(1);
    await page.getByRole("button", { name: /^Put back entry \d+/ }).click();
    await expect.poll(() => bench.title(), soon).not.toBe(first);
    await expect
      .poll(() => page.locator(".log-line[data-struck=true]").innerText(), soon)
      .toContain("struck out");
    await bench.close();
  });

  it("does not propose a step again that cannot be done", async () => {
    const bench = await open("Cannot");
    const { page } = bench;
    const first = await bench.title();
    await page.getByRole("button", { name: /Cannot do this/ }).click();
    await expect.poll(() => bench.title(), soon).not.toBe(first);
    await bench.close();
  });

  it("shows why a part is suspected, and its pins", async () => {
    const bench = await open("Closer");
    const { page } = bench;
    const [suspect] = await page.locator(".suspect-ref").allInnerTexts();
    await page.locator(".suspect").first().click();
    await page.getByRole("heading", { name: "What the log says" }).waitFor();
    await page.getByRole("heading", { name: "What would clear it" }).waitFor();
    await page.getByRole("link", { name: /its pins/ }).click();
    await page.getByRole("heading", { name: new RegExp(`^${suspect} `) }).waitFor();
    expect(await page.locator(".pinout-net").count()).toBeGreaterThan(1);
    await bench.close();
  });
}
