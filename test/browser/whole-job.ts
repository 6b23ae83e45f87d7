import { expect, it } from "vitest";
import { BenchPage, type Stage, soon } from "./support/pages.js";

interface Story {
  readonly board: string;
  readonly symptoms: readonly RegExp[];
  /** Lines typed after the first step was answered on its card. */
  readonly lines: readonly string[];
  readonly culprit: string;
}

const stories: readonly Story[] = [
  {
    board: "Pellow 16",
    symptoms: [/One even field inside/, /No beep at start-up/, /The power lamp lights/],
    lines: [
      "+12 11.9",
      "-5 -5.02",
      "TP9.1 pulsing",
      "TP10.1 low",
      "U12.6 low",
      "U12.4 pulsing",
      "U12.5 pulsing",
    ],
    culprit: "U12",
  },
  {
    board: "Merrow",
    symptoms: [/some characters or dots are wrong/, /The machine beeps at start-up/, /The power lamp lights/],
    lines: ["characters A C", "characters D F", "U45.6 pulsing"],
    culprit: "U33",
  },
];

/** A job from the symptoms to the verdict, as a restorer would do it, on each demonstration board. */
export function wholeJobs(stage: () => Stage): void {
  it.each(stories)("leads from the symptoms to $culprit on $board, and to a closed job", async (story) => {
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    await bench.go(stage(), "/");
    await page.getByRole("link", { name: /New job/ }).click();
    await page.getByRole("button", { name: new RegExp(`^${story.board}`) }).click();
    for (const symptom of story.symptoms) await page.getByRole("button", { name: symptom }).click();
    await page.getByLabel("Name of the job").fill(`${story.board} of the test`);
    await page.getByRole("button", { name: "Begin" }).click();

    await page.getByRole("heading", { name: /supply/i }).waitFor();
    const allWell = page.getByRole("button", { name: /All is well/ });
    expect(await allWell.isDisabled()).toBe(true);
    for (const check of await page
      .getByRole("group", { name: /Tick each/ })
      .getByRole("checkbox")
      .all()) {
      await check.check();
    }
    await bench.settled();
    await allWell.click();
    await page.locator(".answer").nth(1).waitFor();
    await page.getByText("Supply check passed").first().waitFor();

    for (const line of story.lines) {
      await page.getByRole("combobox", { name: /Saw or did/ }).fill(line);
      await page.locator(".entry-echo .icon").waitFor();
      await page.keyboard.press("Enter");
      await bench.settled();
    }
    const leading = page.locator(".suspect-ref").first();
    await expect.poll(() => leading.innerText(), soon).toBe(story.culprit);

    await page.getByRole("combobox", { name: /Saw or did/ }).fill(`${story.culprit} replaced fixed`);
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: `It was ${story.culprit}` }).waitFor();
    await page.getByRole("button", { name: "Close the job" }).first().click();
    const dialog = page.getByRole("dialog");
    await dialog.getByRole("button", { name: "Close the job" }).click();
    await dialog.getByText("A verdict needs a sentence.").waitFor();
    await dialog.getByLabel("In your words").fill("Found and replaced.");
    await dialog.getByRole("button", { name: "Close the job" }).click();
    await page.getByText("Closed", { exact: true }).waitFor();
    await page.getByText("Found and replaced.").first().waitFor();

    await page.getByRole("link", { name: "All jobs" }).click();
    const closed = page.getByRole("region", { name: "Closed" });
    await closed.getByText(`${story.board} of the test`).waitFor();
    await bench.close();
  });
}
