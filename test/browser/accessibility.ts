import { expect, it } from "vitest";
import { brokenRules } from "./support/broken-rules.js";
import { BenchPage, openGame, openJob, pellowStart, type Stage } from "./support/pages.js";

/** Every page in light and dark against the rules of WCAG 2.2 that a program can check. */
export function accessibility(stage: () => Stage): void {
  it.each(["light", "dark"] as const)("no page breaks a rule in %s", async (colorScheme) => {
    const job = await openJob(stage(), {
      board: "pellow-16",
      title: `Rules, ${colorScheme}`,
      entries: [
        ...pellowStart,
        { kind: "reading", at: "TP9.1", with: "logic-probe", shows: "pulsing" },
        { kind: "strike", entry: 4 },
      ],
    });
    const gated = await openJob(stage(), {
      board: "pellow-16",
      title: `Gate, ${colorScheme}`,
      entries: [{ kind: "symptom", what: "no-beep" }],
    });
    const bench = await BenchPage.open(stage(), { colorScheme });
    const { page } = bench;
    const jobs = await page.request.get(`${stage().bench.address}/api/v1/jobs`);
    const closed =
      /"id":"([0-9a-f-]+)","board":"[^"]+","boardTitle":"[^"]+","title":"[^"]+","state":"closed"/.exec(
        await jobs.text(),
      )?.[1];
    const views: readonly (readonly [string, string, (() => Promise<void>)?])[] = [
      ["/", ".job-card"],
      ["/new", ".board-tile", () => page.locator(".board-tile").first().click()],
      [`/job/${gated}`, ".gate"],
      [`/job/${job}`, ".answer"],
      [`/job/${job}`, ".answer", () => page.getByRole("combobox", { name: /Saw or did/ }).fill("U12.6 puls")],
      [`/job/${closed}`, ".step-done"],
      [`/job/${job}/part/U12`, ".pinout"],
      [`/job/${job}/why/U16`, ".why-grid"],
      ["/practice", ".board-tile"],
      [
        `/practice/${await openGame(stage())}`,
        ".looks",
        () => page.getByRole("button", { name: "Give up" }).click(),
      ],
      ["/settings", ".keys"],
      ["/nowhere", "h1"],
    ];
    for (const [path, ready, act] of views) {
      await bench.go(stage(), path);
      await page.locator(ready).first().waitFor();
      await act?.();
      expect(await brokenRules(page, path)).toEqual([]);
    }
    // What a device sees that has not joined the bench yet.
    await page.route("**/api/v1/status", (route) =>
      route.fulfill({
        json: { version: "test", sharing: true, access: "unpaired", device: null, pairing: null },
      }),
    );
    await page.reload();
    await page.getByRole("heading", { name: "Join the bench" }).waitFor();
    expect(await brokenRules(page, "pairing")).toEqual([]);
    await bench.close();
  });

  it("nothing to be pressed on a job page is smaller than a finger", async () => {
    const job = await openJob(stage(), { board: "pellow-16", title: "Targets", entries: pellowStart });
    for (const width of [390, 820, 1180]) {
      const bench = await BenchPage.open(stage(), { width, height: 900 });
      await bench.go(stage(), `/job/${job}`);
      await bench.settled();
      const small = await bench.page.evaluate(() =>
        [...document.querySelectorAll("button, a, summary, input")]
          .filter((element) => element.checkVisibility())
          .flatMap((element) => {
            const { width: w, height: h } = element.getBoundingClientRect();
            return w < 48 || h < 47.5 ? [`${element.className} ${Math.round(w)}x${Math.round(h)}`] : [];
          }),
      );
      expect(small).toEqual([]);
      const overflow = await bench.page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      expect(overflow).toBe(0);
      await bench.close();
    }
  });
}
