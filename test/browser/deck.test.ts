import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { renderTones } from "../../src/core/deck/test-tone.js";
import { bytesOf } from "../../src/core/signal/byte-stream.js";
import { readWav } from "../../src/core/signal/wav-read.js";
import { wavFile } from "../../src/core/signal/wav-write.js";
import { brokenRules } from "./support/broken-rules.js";
import { BenchPage, openStage, type PageOptions, type Stage, soon } from "./support/pages.js";

vi.setConfig({ testTimeout: 300_000, hookTimeout: 120_000 });

const rateHz = 48000;
const folder = mkdtempSync(join(tmpdir(), "boardwake-deck-page-"));
const heardFile = join(folder, "heard.wav");

/** A deck that runs 1.2 % fast and whose capstan is not round; the right channel is late by three samples. */
function deckRecording(seconds: number): Float32Array[] {
  const left = renderTones([{ hz: 3150, seconds, levelDecibel: -10 }], rateHz, {
    speedErrorRatio: 0.012,
    flutter: [{ hz: 6.14, depthRatio: 0.001 }],
  });
  const right = new Float32Array(left.length);
  right.set(left.subarray(0, left.length - 3), 3);
  return [left, right];
}

let opened: Stage | undefined;
function stage(): Stage {
  if (opened === undefined) throw new Error("neither program nor browser is running");
  return opened;
}

beforeAll(async () => {
  writeFileSync(heardFile, wavFile(deckRecording(20), rateHz));
  opened = await openStage([
    "--use-fake-ui-for-media-stream",
    "--use-fake-device-for-media-stream",
    `--use-file-for-fake-audio-capture=${heardFile}`,
    "--autoplay-policy=no-user-gesture-required",
  ]);
});
afterAll(async () => {
  await opened?.browser.close();
  await opened?.bench.close();
  rmSync(folder, { recursive: true, force: true });
});

async function openDeck(options: PageOptions = {}): Promise<BenchPage> {
  const bench = await BenchPage.open(stage(), options);
  await bench.go(stage(), "/deck");
  await bench.page.locator(".mech-empty, .mech-figures").first().waitFor();
  return bench;
}

describe("the deck page", () => {
  it("measures a file, names what flutters and judges it", async () => {
    const bench = await openDeck();
    const { page } = bench;
    await page.locator(".mech-file").setInputFiles(heardFile);
    await page.locator(".mech-figures").waitFor();
    expect(await page.locator(".mech-figure").first().innerText()).toBe("+1.20");
    expect(await page.locator(".mech-peaks li").first().innerText()).toMatch(/6\.14 Hz.*may be the capstan/);
    await page.getByLabel("Capstan, mm").fill("2.5");
    await expect.poll(() => page.locator(".mech-peaks li").first().innerText(), soon).toMatch(/capstan$/);
    await page.getByLabel("Recorded on this deck").check();
    await expect
      .poll(() => page.locator(".mech-verdict").innerText(), soon)
      .toContain("recorded on this deck");
    expect(await page.locator(".mech-judgements").innerText()).not.toContain("Speed error");
    await bench.close();
  });

  it("says plainly what it cannot measure", async () => {
    const bench = await openDeck();
    const { page } = bench;
    const silent = join(folder, "silent.wav");
    writeFileSync(silent, wavFile([new Float32Array(5 * rateHz)], rateHz));
    await page.locator(".mech-file").setInputFiles(silent);
    await expect.poll(() => page.locator(".problem").first().innerText(), soon).toContain("silent");
    await bench.close();
  });

  it("listens to the deck, shows the meter for the screw and measures what it heard", async () => {
    const bench = await openDeck();
    const { page } = bench;
    await page.getByRole("button", { name: "Listen to the deck" }).click();
    await expect.poll(() => page.locator(".mech-live-hz").innerText(), soon).toMatch(/31[89]\d/);
    await expect
      .poll(() => page.locator(".mech-azimuth svg").first().getAttribute("aria-label"), soon)
      .toMatch(/left channel ahead by (69|7\d|6\d) degrees/);
    await page.getByRole("button", { name: "Start measuring" }).click();
    await expect
      .poll(
        async () =>
          Number.parseInt(
            await page
              .getByRole("button", { name: /Stop and read/ })
              .innerText()
              .then((text) => text.replace(/\D+/g, "")),
            10,
          ),
        {
          ...soon,
          timeout: 60_000,
        },
      )
      .toBeGreaterThan(6);
    await page.getByRole("button", { name: /Stop and read/ }).click();
    await page.locator(".mech-figures").waitFor();
    await expect.poll(() => page.locator(".mech-figure").first().innerText(), soon).toMatch(/\+1\.[12]\d/);
    await page.getByLabel("Tone on the tape").selectOption("3000");
    await expect.poll(() => page.locator(".mech-figure").first().innerText(), soon).toMatch(/\+6\.[23]\d/);
    await bench.close();
  });

  it("keeps the reading in a job, and makes a tone", async () => {
    const bench = await openDeck();
    const { page } = bench;
    await page.locator(".mech-file").setInputFiles(heardFile);
    await page.locator(".mech-figures").waitFor();
    await page.getByRole("button", { name: "Before the work" }).click();
    await expect.poll(() => page.locator(".mech-keep [role=status]").innerText(), soon).toContain("Kept");
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: "Save as WAV" }).click(),
    ]);
    const { value } = await readWav(bytesOf("tone.wav", readFileSync(await download.path())));
    expect(value).toMatchObject({ sampleRateHz: 48000, channelCount: 2, totalSeconds: 60 });
    await bench.close();
  });

  it("works a belt out", async () => {
    const bench = await openDeck();
    const { page } = bench;
    await page.getByLabel("What is known").selectOption("pulleys");
    await page.getByLabel("Small pulley, mm").fill("12");
    await page.getByLabel("Large pulley, mm").fill("60");
    await page.getByLabel("Axle to axle, mm").fill("80");
    expect(await page.locator(".mech-belt [role=status]").innerText()).toContain("path of 280.4 mm");
    await bench.close();
  });

  it.each(["light", "dark"] as const)(
    "keeps the rules of access and the width of a tablet, %s",
    async (colorScheme) => {
      const bench = await openDeck({ width: 800, height: 1280, colorScheme });
      const { page } = bench;
      await page.locator(".mech-file").setInputFiles(heardFile);
      await page.locator(".mech-figures").waitFor();
      expect(await brokenRules(page, `deck, ${colorScheme}`)).toEqual([]);
      expect(await page.evaluate(() => document.documentElement.scrollWidth > innerWidth)).toBe(false);
      await bench.close();
    },
  );
});
