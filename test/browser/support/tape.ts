import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { expect } from "vitest";
import { z } from "zod";
import { createRandom } from "../../../src/core/base/random.js";
import { wavFile } from "../../../src/core/signal/wav-write.js";
import { encodeTape } from "../../../src/core/tape/encode.js";
import { tapeSchemeSchema } from "../../../src/core/tape/scheme.js";
import { repositoryRoot } from "../../support/source-files.js";
import { BenchPage, type PageOptions, type Stage, soon } from "./pages.js";

/** Rate of all recordings here. */
export const sampleRateHz = 48000;
/** Folder for files of the tests; whoever uses it removes it. */
export const folder = mkdtempSync(join(tmpdir(), "boardwake-tape-"));
/** What is on the tapes. */
export const contents = Buffer.from("10 REM BENCH TEST\r20 FOR I=1 TO 9\r30 PRINT I*I\r40 NEXT I\r");

const scheme = tapeSchemeSchema.parse(
  JSON.parse(readFileSync(join(repositoryRoot, "data/tape-schemes/kansas-city-1200.json"), "utf8")),
);

/** A recording of bytes; `hole` silences three thousandths of a second so many seconds after its beginning. */
export function recordingOf(bytes: Uint8Array, hole?: number): Float32Array {
  const samples = encodeTape(scheme, bytes, { sampleRateHz, leaderSeconds: 2 });
  const random = createRandom(2);
  for (let i = 0; i < samples.length; i += 1) samples[i] = (samples[i] ?? 0) + 0.01 * (random.next() - 0.5);
  if (hole !== undefined)
    samples.fill(0, Math.round(hole * sampleRateHz), Math.round((hole + 0.003) * sampleRateHz));
  return samples;
}

/** The same, begun so many samples later. */
export function later(samples: Float32Array, delay: number): Float32Array {
  const out = new Float32Array(samples.length + delay);
  out.set(samples, delay);
  return out;
}

/** What speech looks like to a reader of pulses: voiced sounds of wandering pitch, and hisses. */
export function speech(): Float32Array {
  const random = createRandom(9);
  let phase = 0;
  return Float32Array.from({ length: 12 * sampleRateHz }, (_, i) => {
    const seconds = i / sampleRateHz;
    phase +=
      (2 * Math.PI * (120 + 40 * Math.sin(2.1 * seconds) + 25 * Math.sin(7.7 * seconds))) / sampleRateHz;
    const voice =
      Math.sin(phase) +
      0.7 * Math.sin(3 * phase + 1) +
      0.5 * Math.sin(7 * phase) +
      0.4 * Math.sin(11 * phase);
    const hiss = 2 * random.next() - 1;
    const isHiss = Math.sin(9.3 * seconds) > 0.75;
    return 0.2 * (isHiss ? hiss : voice) * Math.max(0, Math.sin(4.4 * seconds));
  });
}

/** Writes a recording into the folder; returns its path. */
export function save(name: string, samples: readonly Float32Array[]): string {
  const path = join(folder, name);
  writeFileSync(path, wavFile(samples, sampleRateHz));
  return path;
}

/** The page in a context of its own, set to the scheme of the recordings here. */
export async function openTape(stage: Stage, options: PageOptions = {}): Promise<BenchPage> {
  const bench = await BenchPage.open(stage, options);
  await bench.go(stage, "/tape");
  await bench.page.getByLabel("Scheme").selectOption("kansas-city-1200");
  return bench;
}

/** Opens recordings and waits until they can be read. */
export async function openFiles(page: Page, ...paths: readonly string[]): Promise<void> {
  await page.locator(".recording-files").setInputFiles([...paths]);
  await expect.poll(() => page.locator(".take").count(), soon).toBe(paths.length);
  await page.locator(".deck-read:enabled").waitFor();
}

/** Reads what is on the desk. */
export async function read(page: Page): Promise<void> {
  await page.locator(".deck-read").click();
  await page.locator(".findings").waitFor();
}

/** Presses a button and returns the file it saves. */
export async function press(page: Page, name: string | RegExp): Promise<Buffer> {
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("button", { name }).click(),
  ]);
  return readFileSync(await download.path());
}

/** Keeps what the page plays, as it goes to the loudspeaker, for `heard`. */
export async function listenIn(page: Page): Promise<void> {
  await page.evaluate(() => {
    const samples: number[] = [];
    const kept = { rate: 0, samples };
    Reflect.set(window, "heardByTest", kept);
    const start = AudioBufferSourceNode.prototype.start;
    AudioBufferSourceNode.prototype.start = function (...args) {
      if (this.context instanceof AudioContext) {
        const ears = this.context.createScriptProcessor(4096, 1, 1);
        kept.rate = this.context.sampleRate;
        ears.onaudioprocess = ({ inputBuffer }) => samples.push(...inputBuffer.getChannelData(0));
        this.connect(ears);
        ears.connect(this.context.destination);
      }
      return start.apply(this, args);
    };
  });
}

/** What was played since `listenIn`, as a WAV file; returns its path. */
export async function heard(page: Page): Promise<string> {
  const kept = z
    .object({ rate: z.number(), samples: z.array(z.number()) })
    .parse(await page.evaluate((): unknown => Reflect.get(window, "heardByTest")));
  const path = join(folder, "played.wav");
  writeFileSync(path, wavFile([Float32Array.from(kept.samples)], kept.rate));
  return path;
}
