import type { Page } from "playwright-core";

/** Presses Tab until what has the focus is called `name`. */
export async function tabTo(page: Page, name: RegExp): Promise<void> {
  for (let i = 0; i < 120; i += 1) {
    await page.keyboard.press("Tab");
    const focused = await page.evaluate(() => {
      const element = document.activeElement;
      if (!(element instanceof HTMLElement)) return "";
      const label = element instanceof HTMLInputElement ? (element.labels?.[0]?.textContent ?? "") : "";
      return `${element.getAttribute("aria-label") ?? ""} ${label} ${element.textContent ?? ""}`;
    });
    if (name.test(focused)) return;
  }
  throw new Error(`Tab never reached ${name}`);
}
