import { AxeBuilder } from "@axe-core/playwright";
import type { Page } from "playwright-core";

/** Rules that the page breaks as it stands, one line each. */
export async function brokenRules(page: Page, name: string): Promise<string[]> {
  await page.waitForTimeout(150);
  const { violations } = await new AxeBuilder({ page })
    .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"])
    .analyze();
  return violations.map(
    ({ id, nodes }) => `${name} ${id}: ${nodes.map(({ target }) => target.join(" ")).join("; ")}`,
  );
}
