import { spawnSync } from "node:child_process";
import { rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { bytesOf } from "../../src/core/signal/byte-stream.js";
import { readWav } from "../../src/core/signal/wav-read.js";
import { tapeSchemeSchema } from "../../src/core/tape/scheme.js";
import { brokenRules } from "./support/broken-rules.js";
import { tabTo } from "./support/keys.js";
import { BenchPage, openStage, type Stage } from "./support/pages.js";
import {
  contents,
  folder,
  heard,
  later,
  listenIn,
  openFiles,
  openTape,
  press,
  read,
  recordingOf,
  sampleRateHz,
  save,
  speech,
} from "./support/tape.js";

vi.setConfig({ testTimeout: 300_000, hookTimeout: 120_000 });

let opened: Stage | undefined;

function stage(): Stage {
  if (opened === undefined) throw new Error("neither program nor browser is running");
  return opened;
}

beforeAll(async () => {
  const heardFile = save("heard.wav", [recordingOf(contents)]);
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

describe("the tape page", () => {
  it("reads a recording and gives its bytes and a description of them", async () => {
    const bench = await openTape(stage());
    const { page } = bench;
    await openFiles(page, save("whole.wav", [recordingOf(contents)]));
    await read(page);
    expect(await press(page, "Save bytes")).toEqual(contents);
    const description: unknown = JSON.parse((await press(page, "Save description")).toString("utf8"));
    expect(description).toMatchObject({ scheme: "kansas-city-1200", bytes: contents.length, doubtful: [] });
    expect(await page.locator(".strip-count").innerText()).toBe("no doubts");
    expect(await page.locator(".bytes-letters").first().innerText()).toBe("10 REM BENCH TES");
    await bench.close();
  });

  it("marks a hole as doubtful, and leads to it", async () => {
    const bench = await openTape(stage());
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
    const bench = await openTape(stage());
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
    const bench = await openTape(stage());
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
    const kept = await readWav(bytesOf("kept.wav", await press(page, /^save Recording/)));
    expect(kept.value?.totalSeconds).toBeGreaterThan(seconds);
    await bench.close();
  });

  it("plays bytes to the machine: what comes out reads the same", async () => {
    const bench = await openTape(stage());
    const { page } = bench;
    await listenIn(page);
    const file = join(folder, "program.bin");
    writeFileSync(file, contents);
    await page.locator(".bytes-file").setInputFiles(file);
    await page.getByRole("button", { name: "Play to the machine" }).click();
    await page.getByRole("button", { name: /^Stop/ }).waitFor();
    await page.getByRole("button", { name: "Play to the machine" }).waitFor({ timeout: 120_000 });
    await openFiles(page, await heard(page));
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
    const bench = await openTape(stage());
    const { page } = bench;
    const path = join(folder, "notes.txt");
    writeFileSync(path, "not a sound");
    await page.locator(".recording-files").setInputFiles(path);
    await page.getByText(/no recording that the browser can read/).waitFor();
    expect(await page.locator(".deck-read").isDisabled()).toBe(true);
    await bench.close();
  });

  it("puts takes of one tape together, and says which gave what", async () => {
    const bench = await openTape(stage());
    const { page } = bench;
    const early = save("early.wav", [recordingOf(contents, 2.2)]);
    const late = save("late.wav", [later(recordingOf(contents, 2.35), 31_000)]);
    await openFiles(page, early, late);
    await read(page);
    expect(await page.locator(".strip-count").innerText()).toBe("no doubts");
    expect(await press(page, "Save bytes")).toEqual(contents);
    await page.getByText(/\d+ bytes from early\.wav, \d+ bytes from late\.wav/).waitFor();
    await bench.close();
  });

  it("learns the scheme of an unknown recording, and is told by speech that it holds no data", async () => {
    const bench = await openTape(stage());
    const { page } = bench;
    await page.getByLabel("Scheme").selectOption("pulse-cycles");
    const bytes = Buffer.from(Array.from({ length: 300 }, (_, i) => (i * 37 + (i >> 3)) & 255));
    await openFiles(page, save("unknown.wav", [recordingOf(bytes)]));
    await page.getByRole("button", { name: "Learn it" }).click();
    await page.getByRole("button", { name: "Use this scheme" }).click();
    expect(await page.getByLabel("Scheme").inputValue()).toBe("learned");
    await read(page);
    const saved: unknown = JSON.parse((await press(page, "Save scheme")).toString("utf8"));
    expect(tapeSchemeSchema.safeParse(saved).success).toBe(true);
    await page.getByRole("button", { name: "Take unknown.wav off the desk" }).click();
    await openFiles(page, save("speech.wav", [speech()]));
    await page.getByRole("button", { name: "Learn it" }).click();
    await page.getByRole("heading", { name: "This recording holds no data" }).waitFor();
    await bench.close();
  });

  it("checks how far a clean recording may drift", async () => {
    const bench = await openTape(stage());
    const { page } = bench;
    const file = join(folder, "margin.bin");
    writeFileSync(file, contents);
    await page.locator(".bytes-file").setInputFiles(file);
    await page.getByRole("button", { name: "Check margins" }).click();
    expect(await page.locator(".margins dl").innerText()).toMatch(/Speed\s+−\d+ % to \+\d+ %/);
    await bench.close();
  });

  it("takes a scheme that is written on the page, and refuses one that says nothing", async () => {
    const bench = await openTape(stage());
    const { page } = bench;
    await page.getByLabel("Scheme").selectOption("write a scheme");
    const text = page.getByRole("textbox", { name: "Scheme" });
    const own = await text.inputValue();
    await text.fill(own.replace('"highHz": 2400', '"highHz": "fast"'));
    await page.getByRole("button", { name: "Use it" }).click();
    await page.getByText(/no tape scheme\. signal\.highHz/).waitFor();
    await text.fill(own.replace('"highHz": 2400', '"highHz": 2000'));
    await page.getByRole("button", { name: "Use it" }).click();
    expect(await page.getByLabel("Scheme").inputValue()).toBe("kansas-city-1200-own");
    await bench.close();
  });

  it.each([
    ["flac", ["-s", "-f", "-o"]],
    ["oggenc", ["-Q", "-q", "6", "-o"]],
    ["lame", ["--quiet"]],
  ] as const)("reads what %s packed", async (tool, words) => {
    const wav = save("packed.wav", [recordingOf(contents)]);
    const packed = join(folder, `packed.${{ flac: "flac", oggenc: "ogg", lame: "mp3" }[tool]}`);
    if (spawnSync(tool, ["--version"]).error !== undefined) {
      console.log(`left out: ${tool} is not installed`);
      return;
    }
    spawnSync(tool, tool === "lame" ? [...words, wav, packed] : [...words, packed, wav]);
    const bench = await openTape(stage());
    await openFiles(bench.page, packed);
    await read(bench.page);
    expect(await press(bench.page, "Save bytes")).toEqual(contents);
    await bench.close();
  });

  it("gives up work in hand", async () => {
    const bench = await openTape(stage());
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
    const bench = await openTape(stage());
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
        const bench = await openTape(stage(), { colorScheme, ...size });
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

describe("a file the page saves", () => {
  it("is a WAV of the rate that was chosen", async () => {
    const bench = await openTape(stage());
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
