import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Download, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { createRandom } from "../../src/core/base/random.js";
import { bytesOf } from "../../src/core/signal/byte-stream.js";
import { readWav } from "../../src/core/signal/wav-read.js";
import { wavFile } from "../../src/core/signal/wav-write.js";
import { encodeTape } from "../../src/core/tape/encode.js";
import { type TapeScheme, tapeSchemeSchema } from "../../src/core/tape/scheme.js";
import { brokenRules } from "./support/broken-rules.js";
import { tabTo } from "./support/keys.js";
import { BenchPage, openStage, type PageOptions, type Stage, soon } from "./support/pages.js";

vi.setConfig({ testTimeout: 300_000, hookTimeout: 120_000 });

const sampleRateHz = 48000;
const folder = mkdtempSync(join(tmpdir(), "boardwake-tape-"));
const heardFile = join(folder, "heard.wav");
const contents = Buffer.from("10 REM BENCH TEST\r20 FOR I=1 TO 9\r30 PRINT I*I\r40 NEXT I\r");

function scheme(id: string): TapeScheme {
  return tapeSchemeSchema.parse(JSON.parse(readFileSync(`data/tape-schemes/${id}.json`, "utf8")));
}

/** A recording of bytes; `hole` silences three thousandths of a second so many seconds after its beginning. */
function recordingOf(bytes: Uint8Array, hole?: number): Float32Array {
  const samples = encodeTape(scheme("kansas-city-1200"), bytes, { sampleRateHz, leaderSeconds: 2 });
  const random = createRandom(2);
  for (let i = 0; i < samples.length; i += 1) samples[i] = (samples[i] ?? 0) + 0.01 * (random.next() - 0.5);
  if (hole !== undefined)
    samples.fill(0, Math.round(hole * sampleRateHz), Math.round((hole + 0.003) * sampleRateHz));
  return samples;
}

function save(name: string, samples: readonly Float32Array[]): string {
  const path = join(folder, name);
  writeFileSync(path, wavFile(samples, sampleRateHz));
  return path;
}

let opened: Stage | undefined;

function stage(): Stage {
  if (opened === undefined) throw new Error("neither program nor browser is running");
  return opened;
}

beforeAll(async () => {
  save("heard.wav", [recordingOf(contents)]);
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

async function openTape(options: PageOptions = {}): Promise<BenchPage> {
  const bench = await BenchPage.open(stage(), options);
  await bench.go(stage(), "/tape");
  await bench.page.getByLabel("Scheme").selectOption("kansas-city-1200");
  return bench;
}

async function openFiles(page: Page, ...paths: readonly string[]): Promise<void> {
  await page.locator(".recording-files").setInputFiles([...paths]);
  await expect.poll(() => page.locator(".take").count(), soon).toBe(paths.length);
  await page.locator(".deck-read:enabled").waitFor();
}

async function read(page: Page): Promise<void> {
  await page.locator(".deck-read").click();
  await page.locator(".findings").waitFor();
}

async function bytesOfDownload(download: Download): Promise<Buffer> {
  return readFileSync(await download.path());
}

async function press(page: Page, name: string): Promise<Buffer> {
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("button", { name }).click(),
  ]);
  return bytesOfDownload(download);
}

describe("the tape page", () => {
  it("reads a recording and gives its bytes and a description of them", async () => {
    const bench = await openTape();
    const { page } = bench;
    await openFiles(page, save("whole.wav", [recordingOf(contents)]));
    await read(page);
    expect(await press(page, "Save bytes")).toEqual(contents);
    const description: unknown = JSON.parse((await press(page, "Save description")).toString("utf8"));
    expect(description).toMatchObject({ scheme: "kansas-city-1200", doubtful: [] });
    expect(await page.locator(".strip-count").innerText()).toBe("no doubts");
    expect(await page.locator(".bytes-letters").first().innerText()).toBe("10 REM BENCH TES");
    await bench.close();
  });

  it("marks a hole as doubtful, and leads to it", async () => {
    const bench = await openTape();
    const { page } = bench;
    await openFiles(page, save("hole.wav", [recordingOf(contents, 2.2)]));
    await read(page);
    await page.getByRole("button", { name: "Next doubt" }).click();
    expect(await page.locator(".strip-spot").innerText()).toMatch(/byte 2\d at 0:02\.\d+: .*doubtful/);
    expect(await page.locator(".byte[data-picked]").count()).toBe(1);
    expect(await page.locator(".byte[data-doubtful][data-picked]").count()).toBe(1);
    await bench.close();
  });

  it("makes a clean recording of a worn one, which reads the same", async () => {
    const bench = await openTape();
    const { page } = bench;
    await openFiles(page, save("worn.wav", [recordingOf(contents)]));
    await read(page);
    const clean = join(folder, "clean.wav");
    writeFileSync(clean, await press(page, "Save clean WAV"));
    await page.getByRole("button", { name: "Take worn.wav off the desk" }).click();
    await openFiles(page, clean);
    await read(page);
    expect(await press(page, "Save bytes")).toEqual(contents);
    await bench.close();
  });

  it("records what comes in, unchanged, and reads it", async () => {
    const bench = await openTape();
    const { page } = bench;
    await page.getByRole("button", { name: "Record", exact: true }).click();
    await page.getByText("Level is good").waitFor();
    await page.getByRole("button", { name: "Start recording" }).click();
    // The file is played over and over, from anywhere: twice its length holds it once as a whole.
    const seconds = (2 * recordingOf(contents).length) / sampleRateHz + 1;
    await page.waitForFunction(
      (least) =>
        Number(/(\d+):(\d+)/.exec(document.querySelector(".recorder .place")?.textContent ?? "")?.[2]) >
        least,
      seconds,
      { timeout: 120_000 },
    );
    await page.getByRole("button", { name: /^Stop/ }).click();
    await page.locator(".deck-read:enabled").waitFor();
    await read(page);
    expect((await press(page, "Save bytes")).includes(contents)).toBe(true);
    await bench.close();
  });

  it("plays bytes to the machine: what comes out reads the same", async () => {
    const bench = await openTape();
    const { page } = bench;
    await listenIn(page);
    const file = join(folder, "program.bin");
    writeFileSync(file, contents);
    await page.locator(".bytes-file").setInputFiles(file);
    await page.getByRole("button", { name: "Play to the machine" }).click();
    await page.getByRole("button", { name: /^Stop/ }).waitFor();
    await page.getByRole("button", { name: "Play to the machine" }).waitFor({ timeout: 120_000 });
    const heard = await page.evaluate(
      () => Reflect.get(window, "heardByTest") as { rate: number; samples: number[] },
    );
    const path = join(folder, "played.wav");
    writeFileSync(path, wavFile([Float32Array.from(heard.samples)], heard.rate));
    await openFiles(page, path);
    await read(page);
    await page.getByRole("button", { name: "What was read" }).click();
    expect(await press(page, "Save bytes")).toEqual(contents);
    await bench.close();
  });

  it("says why it cannot record over a plain network link, and takes a file all the same", async () => {
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    await page.addInitScript(() => Object.defineProperty(window, "isSecureContext", { value: false }));
    await bench.go(stage(), "/tape");
    await page.getByRole("button", { name: "Record", exact: true }).click();
    await page.getByText(/record only for pages of the same machine or over https/).waitFor();
    await openFiles(page, save("plain.wav", [recordingOf(contents)]));
    await bench.close();
  });

  it("refuses what is no recording, with the reason", async () => {
    const bench = await openTape();
    const { page } = bench;
    const path = join(folder, "notes.txt");
    writeFileSync(path, "not a sound");
    await page.locator(".recording-files").setInputFiles(path);
    await page.getByText(/no recording that the browser can read/).waitFor();
    expect(await page.locator(".deck-read").isDisabled()).toBe(true);
    await bench.close();
  });

  it("gives up work in hand", async () => {
    const bench = await openTape();
    const { page } = bench;
    const long = new Float32Array(180 * sampleRateHz);
    const piece = recordingOf(contents);
    for (let at = 0; at + piece.length < long.length; at += piece.length) long.set(piece, at);
    await openFiles(page, save("long.wav", [long]));
    await page.locator(".deck-read").click();
    await page.getByRole("button", { name: "Give up" }).click();
    await page.locator(".work").waitFor({ state: "detached" });
    expect(await page.locator(".findings").count()).toBe(0);
    await bench.close();
  });

  it("is worked by keyboard alone", async () => {
    const bench = await openTape();
    const { page } = bench;
    await openFiles(page, save("keys.wav", [recordingOf(contents, 2.2)]));
    await tabTo(page, /^\s*Read the tape/);
    await page.keyboard.press("Enter");
    await page.locator(".findings").waitFor();
    await tabTo(page, /Strip of the recording/);
    const spot = page.locator(".strip-spot");
    await page.keyboard.press("n");
    const doubt = await spot.innerText();
    expect(doubt).toMatch(/doubtful/);
    await page.keyboard.press(",");
    expect(await spot.innerText()).not.toBe(doubt);
    await page.keyboard.press("Escape");
    await page.keyboard.press("0");
    await expect.poll(() => spot.innerText()).toMatch(/^0:00\S* to/);
    await page.keyboard.press("ArrowUp");
    await page.keyboard.press("End");
    await expect.poll(() => spot.innerText()).not.toMatch(/^0:00\S* to/);
    await bench.close();
  });

  it.each(["light", "dark"] as const)(
    "breaks no rule of accessibility in %s, at any stage",
    async (colorScheme) => {
      for (const size of [
        { width: 1280, height: 800 },
        { width: 800, height: 1280 },
      ]) {
        const bench = await openTape({ colorScheme, ...size });
        const { page } = bench;
        expect(await brokenRules(page, "empty")).toEqual([]);
        await page.getByRole("button", { name: "Record", exact: true }).click();
        await page.getByText("Level is good").waitFor();
        expect(await brokenRules(page, "recorder")).toEqual([]);
        await page.getByRole("button", { name: "Close", exact: true }).click();
        const samples = recordingOf(contents, 2.2);
        await openFiles(page, save("left.wav", [samples, samples]), save("right.wav", [samples]));
        await read(page);
        await page.getByRole("button", { name: "Next doubt" }).click();
        expect(await brokenRules(page, "read")).toEqual([]);
        const overflow = await page.evaluate(
          () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
        );
        expect(overflow).toBe(0);
        const small = await page.evaluate(() =>
          [...document.querySelectorAll("button, select, .take-wanted")]
            .filter((element) => element.checkVisibility())
            .flatMap((element) => {
              const { width, height } = element.getBoundingClientRect();
              return width < 48 || height < 47.5 ? [`${element.className} ${width}x${height}`] : [];
            }),
        );
        expect(small).toEqual([]);
        await bench.close();
      }
    },
  );
});

/** Keeps what the page plays, as it goes to the loudspeaker. */
async function listenIn(page: Page): Promise<void> {
  await page.evaluate(() => {
    const heard = { rate: 0, samples: [] as number[] };
    Reflect.set(window, "heardByTest", heard);
    const start = AudioBufferSourceNode.prototype.start;
    AudioBufferSourceNode.prototype.start = function (...args) {
      const { context } = this;
      const tap = new AudioContext().createScriptProcessor === undefined ? undefined : context;
      if (tap instanceof AudioContext) {
        const ears = tap.createScriptProcessor(4096, 1, 1);
        heard.rate = tap.sampleRate;
        ears.onaudioprocess = ({ inputBuffer }) => heard.samples.push(...inputBuffer.getChannelData(0));
        this.connect(ears);
        ears.connect(tap.destination);
      }
      return start.apply(this, args);
    };
  });
}

describe("a file the page saves", () => {
  it("is a WAV of the rate that was chosen", async () => {
    const bench = await openTape();
    const { page } = bench;
    const file = join(folder, "three.bin");
    writeFileSync(file, contents);
    await page.locator(".bytes-file").setInputFiles(file);
    await page.getByLabel("Samples a second").selectOption("22050");
    const wav = await press(page, "Save clean WAV");
    const { value } = await readWav(bytesOf("clean.wav", wav));
    expect(value).toMatchObject({ sampleRateHz: 22050, channelCount: 1 });
    await bench.close();
  });
});
