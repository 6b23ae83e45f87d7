import { expect, it } from "vitest";
import { BenchPage, type Stage, soon } from "./support/pages.js";

/** Practice: a hidden fault, pins read on the map, minutes counted, both ways side by side. */
export function practising(stage: () => Stage): void {
  it("reads pins by a tap on the map, counts minutes, and shows both ways at the end", async () => {
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    await bench.go(stage(), "/practice");
    await page.getByRole("button", { name: /^Merrow/ }).click();
    await page.getByLabel(/Number of the fault/).fill("seven");
    await page.getByRole("button", { name: "Hide a fault" }).click();
    await page.getByText("'seven' is not a number").waitFor();
    await page.getByLabel(/Number of the fault/).fill("7");
    await page.getByRole("button", { name: "Hide a fault" }).click();
    await page.getByRole("heading", { name: "Find the fault" }).waitFor();
    expect(await page.locator(".game-minutes").innerText()).toMatch(/^0 min/);

    await page.getByRole("button", { name: "Picture", exact: true }).click();
    await expect.poll(() => page.locator(".log-line").count(), soon).toBe(1);

    // The hint names a place; zoomed in on it, its pin lies in the middle of the map.
    await page.getByRole("button", { name: "What would the program do?" }).click();
    await page.getByText("The program would do this next").waitFor();
    await page.getByRole("button", { name: "Go to the probe point" }).click();
    const box = await page.locator(".map-canvas").boundingBox();
    if (box === null) throw new Error("the map is not to be seen");
    await page.mouse.click(box.x + box.width / 2, box.y + box.height / 2);
    await expect.poll(() => page.locator(".log-line").count(), soon).toBe(2);
    expect(await page.locator(".game-minutes").innerText()).not.toMatch(/^0 min/);

    await page.getByRole("button", { name: "Give up" }).click();
    await page.getByText("It is over").waitFor();
    await page.getByRole("heading", { name: "Your way" }).waitFor();
    const ways = page.locator(".way");
    expect(await ways.count()).toBe(2);
    expect(await ways.nth(0).locator("li").count()).toBe(2);
    expect(await ways.nth(1).locator("li").count()).toBeGreaterThan(0);
    await bench.close();
  });
}
