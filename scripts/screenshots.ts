/*
 * Why: pictures of the page age with every change. This makes them all anew, into docs/images: it serves a bench of its
 * own, opens the jobs the guide tells of, and takes each page at the size of a tablet, a phone or a desktop, light or
 * dark. Needs the built program and a Chromium (npm run browser). --out names another folder,
 * --only takes those whose names begin so.
 */
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import type { Page } from "playwright-core";
import { z } from "zod";
import { BenchPage, openJob, openStage, type PageOptions } from "../test/browser/support/pages.js";
import { repositoryRoot } from "./generated-files.js";
import { wornTape } from "./worn-tape.js";

const { values } = parseArgs({
  options: {
    out: { type: "string", default: join(repositoryRoot, "docs/images") },
    only: { type: "string", default: "" },
  },
});

const tablet = { width: 1180, height: 820 };
const phone = { width: 390, height: 844 };
const desktop = { width: 1920, height: 1080 };

interface Picture {
  readonly name: string;
  readonly options: PageOptions;
  readonly path: string;
  /** What has to be there before the picture is taken. */
  readonly ready: string;
  readonly prepare?: (page: Page) => Promise<unknown>;
}

const logSchema = z.object({ entries: z.array(z.record(z.string(), z.unknown())) });

function guideEntries(name: string): readonly object[] {
  const path = join(repositoryRoot, "docs/guide/finding-a-fault", `${name}.json`);
  return logSchema.parse(JSON.parse(readFileSync(path, "utf8"))).entries;
}

/** Opens the worn tape and reads it. */
async function readTape(page: Page): Promise<void> {
  await page.getByLabel("Scheme").selectOption("kansas-city-1200");
  const buffer = Buffer.from(wornTape());
  await page
    .locator(".recording-files")
    .setInputFiles({ name: "store-list side A.wav", mimeType: "audio/wav", buffer });
  await page.locator(".deck-read:enabled").click();
  await page.locator(".findings").waitFor();
}

/** Goes to the second doubt of the tape, close enough for single bits. */
async function showDoubt(page: Page): Promise<void> {
  await readTape(page);
  for (let i = 0; i < 2; i += 1) await page.getByRole("button", { name: "Next doubt" }).click();
  await page.evaluate("scrollTo(0, 0)");
}

/** Listens and records for some seconds: the browser's fake input plays the worn tape. */
async function record(page: Page): Promise<void> {
  await page.getByRole("button", { name: "Record", exact: true }).click();
  await page.getByText("Level is good").waitFor();
  await page.getByRole("button", { name: "Start recording" }).click();
  await page.waitForTimeout(6000);
}

/** Failing addresses of one column of a memory chip, explained and drawn. */
async function explainColumn(page: Page): Promise<void> {
  const list = Array.from(
    { length: 128 },
    (_, row) => `$${(0x2800 + row).toString(16).toUpperCase()},$FF,$DF`,
  );
  await page.getByLabel("Address, expected, read").fill(list.join("\n"));
  await page.getByRole("button", { name: "Explain" }).click();
  await page.locator(".cells").waitFor();
  await page.locator(".explained").evaluate((element) => element.scrollIntoView());
}

/** Stripes as somebody sees them, traced to a bit and drawn. */
async function describeStripes(page: Page): Promise<void> {
  await page.getByLabel("Which of them, from the left").fill("3");
  await page.getByRole("button", { name: "Which fault makes this?" }).click();
  await page.getByRole("button", { name: /^Draw it/ }).click();
  await page.waitForTimeout(1500);
  await page.locator("#screen-title").evaluate((element) => element.scrollIntoView());
}

/** A message of the self-test tapped in. */
async function tapBeacon(page: Page): Promise<void> {
  await page.getByRole("button", { name: "Show the sheet" }).click();
  await page.locator(".taps").waitFor();
  for (const name of ["Short", "Long", "Long"]) await page.getByRole("button", { name, exact: true }).click();
  await page.locator("#self-test-title").evaluate((element) => element.scrollIntoView());
}

mkdirSync(values.out, { recursive: true });
const folder = mkdtempSync(join(tmpdir(), "boardwake-pictures-"));
const tapeFile = join(folder, "tape.wav");
writeFileSync(tapeFile, wornTape());
const stage = await openStage([
  "--use-fake-ui-for-media-stream",
  "--use-fake-device-for-media-stream",
  `--use-file-for-fake-audio-capture=${tapeFile}`,
]);
try {
  const board = "pellow-16";
  const title = "Pellow 16 from the loft";
  const strobes = await openJob(stage, { board, title, entries: guideEntries("2-strobes") });
  const named = await openJob(stage, { board, title, entries: guideEntries("3-gate") });
  const reported = await openJob(stage, { board, title, entries: guideEntries("1-reported") });
  const type = (page: Page): Promise<void> =>
    page.getByRole("combobox", { name: /Saw or did/ }).fill("U12.4 puls");
  const pictures: readonly Picture[] = [
    { name: "bench-tablet-light", options: tablet, path: `/job/${strobes}`, ready: ".answer" },
    {
      name: "bench-tablet-dark",
      options: { ...tablet, colorScheme: "dark" },
      path: `/job/${named}`,
      ready: ".answer",
    },
    { name: "bench-phone-light", options: phone, path: `/job/${strobes}`, ready: ".answer" },
    {
      name: "bench-phone-dark",
      options: { ...phone, colorScheme: "dark" },
      path: `/job/${named}`,
      ready: ".answer",
    },
    { name: "bench-desktop-light", options: desktop, path: `/job/${strobes}`, ready: ".answer" },
    {
      name: "bench-desktop-dark",
      options: { ...desktop, colorScheme: "dark" },
      path: `/job/${named}`,
      ready: ".answer",
    },
    { name: "gate-tablet-light", options: tablet, path: `/job/${reported}`, ready: ".gate" },
    { name: "entry-tablet-light", options: tablet, path: `/job/${strobes}`, ready: ".answer", prepare: type },
    { name: "part-tablet-light", options: tablet, path: `/job/${strobes}/part/U12`, ready: ".pinout" },
    { name: "why-tablet-light", options: tablet, path: `/job/${named}/why/U12`, ready: ".why-grid" },
    { name: "jobs-tablet-light", options: tablet, path: "/", ready: ".job-card" },
    {
      name: "new-job-tablet-light",
      options: tablet,
      path: "/new",
      ready: ".board-tile",
      prepare: async (page) => {
        await page.getByRole("button", { name: /^Pellow 16/ }).click();
        await page.getByRole("button", { name: /One even field inside/ }).click();
      },
    },
    {
      name: "memory-desktop-light",
      options: { width: 1440, height: 1400 },
      path: `/job/${strobes}/memory`,
      ready: ".fails-form",
      prepare: explainColumn,
    },
    {
      name: "memory-screen-tablet-dark",
      options: { width: 1180, height: 1100, colorScheme: "dark" },
      path: `/job/${strobes}/memory`,
      ready: ".screen",
      prepare: describeStripes,
    },
    {
      name: "memory-beacon-tablet-light",
      options: { width: 1180, height: 1250 },
      path: `/job/${strobes}/memory`,
      ready: ".self-test-options",
      prepare: tapBeacon,
    },
    {
      name: "tape-desktop-light",
      options: { width: 1440, height: 1000 },
      path: "/tape",
      ready: ".tape-empty",
      prepare: readTape,
    },
    {
      name: "tape-tablet-dark",
      options: { width: 1280, height: 800, colorScheme: "dark" },
      path: "/tape",
      ready: ".tape-empty",
      prepare: showDoubt,
    },
    {
      name: "tape-recorder-light",
      options: { width: 1280, height: 800 },
      path: "/tape",
      ready: ".tape-empty",
      prepare: record,
    },
  ];
  const wanted = pictures.filter(({ name }) => name.startsWith(values.only));
  for (const { name, options, path, ready, prepare } of wanted) {
    const bench = await BenchPage.open(stage, options);
    await bench.go(stage, path);
    await bench.page.locator(ready).first().waitFor();
    await prepare?.(bench.page);
    await bench.page.waitForTimeout(900);
    await bench.page.screenshot({ path: join(values.out, `${name}.png`) });
    await bench.close();
    console.log(`${name}.png`);
  }
} finally {
  await stage.browser.close();
  await stage.bench.close();
  rmSync(folder, { recursive: true, force: true });
}
