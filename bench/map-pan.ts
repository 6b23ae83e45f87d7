/*
 * Why: a map that stutters under the finger is not used. This pans the map of the page in a real Chromium, on a made-up
 * board of 256 parts and 2,000 pads, alone and over a photo, and says how many frames a second came and how long the
 * longest ones took. Needs the built page and a Chromium (npm run browser). Nothing is drawn at random.
 */
import { type CDPSession, chromium, type Page } from "playwright-core";
import { findBrowser } from "../scripts/find-browser.js";
import { boardMapOf } from "../src/core/draw/board-map.js";
import { readPageFiles } from "./support/page-files.js";
import { panBoard, panTypes } from "./support/pan-board.js";

const secondsPerRun = 4;
const map = boardMapOf(panBoard, (name) => panTypes.get(name));
const pads = map.parts.reduce((sum, part) => sum + part.pins.length, 0);
const chips = map.parts.filter((part) => part.shape === "chip").length;
const job = "11111111-1111-4111-8111-111111111111";
const moment = "2026-03-01T10:00:00.000Z";

/** What the page asks for on its way to a map, answered without a server. */
function answers(path: string): unknown {
  const summary = {
    id: job,
    board: map.id,
    boardTitle: map.title,
    title: "Pan",
    state: "closed",
    openedAt: moment,
    changedAt: moment,
    entries: 1,
    revision: 1,
    lead: null,
    verdict: null,
    demo: false,
  };
  if (path === "/status")
    return { version: "0", sharing: false, access: "host", device: null, pairing: null };
  if (path === `/boards/${map.id}`) {
    const rest = {
      own: false,
      version: null,
      growth: null,
      ground: "GND",
      rails: [],
      nets: [],
      symptoms: [],
      keyLines: [],
      instruments: [],
      events: [],
    };
    return { ...map, subtitle: "", ...rest };
  }
  if (path === `/jobs/${job}`) {
    const entry = { kind: "job-setup", board: map.id, title: "Pan" };
    const line = { number: 1, id: job, at: moment, entry, text: "Job opened", struck: false };
    const more = {
      boardVersion: null,
      drawing: `/boards/${map.id}`,
      instruments: [],
      spares: [],
      year: 2026,
      priorFactors: {},
      cannot: [],
    };
    return { job: { ...summary, ...more }, log: [line], revision: 1 };
  }
  if (path === `/jobs/${job}/photos`) return photo === undefined ? [] : [photoFacts];
  return undefined;
}

/** The photo that lies under the map in the second half of the runs; undefined before. */
let photo: Buffer | undefined;
const photoSize = { width: 3200, height: 2400 };
const photoFacts = {
  side: "component",
  at: moment,
  widthPixel: photoSize.width,
  heightPixel: photoSize.height,
  marks: ["U1", "U14", "U60"].flatMap((ref) => {
    const pin = map.parts.find((part) => part.ref === ref)?.pins[0];
    return pin === undefined
      ? []
      : [{ pin: `${ref}.1`, x: Math.round(9 * pin.x), y: Math.round(7.5 * pin.y) }];
  }),
};

/** A picture as large as the page sends one, with something in every corner. */
async function makePhoto(page: Page): Promise<Buffer> {
  const data: unknown = await page.evaluate(`(() => {
    const canvas = document.createElement("canvas");
    canvas.width = ${photoSize.width};
    canvas.height = ${photoSize.height};
    const context = canvas.getContext("2d");
    for (let i = 0; i < 4000; i += 1) {
      context.fillStyle = "hsl(" + ((i * 37) % 360) + " 40% " + (20 + (i % 50)) + "%)";
      context.fillRect((i * 811) % canvas.width, (i * 367) % canvas.height, 90, 60);
    }
    return canvas.toDataURL("image/jpeg", 0.88).split(",")[1];
  })()`);
  return Buffer.from(String(data), "base64");
}

async function openMap(page: Page): Promise<void> {
  const files = new Map(readPageFiles().map((file) => [file.address, file]));
  await page.route("http://bench.invalid/**", async (route) => {
    const path = new URL(route.request().url()).pathname;
    const file = files.get(path === "/" ? "/index.html" : path);
    if (file !== undefined) return route.fulfill({ contentType: file.type, body: file.bytes });
    if (path.endsWith("/photos/component") && photo !== undefined)
      return route.fulfill({ contentType: "image/jpeg", body: photo });
    const answer = answers(path.replace("/api/v1", ""));
    if (answer === undefined) return route.fulfill({ status: 404, json: {} });
    return route.fulfill({ json: answer });
  });
  await page.goto(`http://bench.invalid/#/job/${job}`);
  await page.locator(".map-canvas").waitFor();
  await page.waitForTimeout(800);
}

/** Seconds the page's main thread has worked since `counting` began: less disturbed by other programs than a clock. */
async function busySeconds(counting: CDPSession): Promise<number> {
  const { metrics } = await counting.send("Performance.getMetrics");
  return metrics.find(({ name }) => name === "TaskDuration")?.value ?? 0;
}

/** Milliseconds between frames while the finger goes round in circles. */
async function pan(page: Page): Promise<number[]> {
  const box = await page.locator(".map-canvas").boundingBox();
  if (box === null) throw new Error("the map is not to be seen");
  const middle = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  await page.mouse.move(middle.x, middle.y);
  await page.mouse.down();
  // The moves are made inside the page, one a frame, so that what is measured is the page and not the way to it.
  const script = `new Promise((resolve) => {
    const canvas = document.querySelector(".map-canvas");
    const frames = [];
    let before = 0;
    let angle = 0;
    const step = (now) => {
      if (before > 0) frames.push(now - before);
      before = now;
      angle += 0.11;
      canvas.dispatchEvent(new PointerEvent("pointermove", {
        pointerId: 1,
        bubbles: true,
        clientX: ${middle.x} + 90 * Math.cos(angle),
        clientY: ${middle.y} + 70 * Math.sin(angle),
      }));
      if (frames.length < ${secondsPerRun * 60}) requestAnimationFrame(step);
      else resolve(frames);
    };
    requestAnimationFrame(step);
  })`;
  const frames: unknown = await page.evaluate(script);
  await page.mouse.up();
  if (!Array.isArray(frames)) throw new Error("the page told no frames");
  return frames.map(Number).sort((a, b) => a - b);
}

function summary(frames: readonly number[]): object {
  const at = (share: number): number =>
    frames[Math.min(frames.length - 1, Math.floor(share * frames.length))] ?? 0;
  const total = frames.reduce((sum, frame) => sum + frame, 0);
  const round = (value: number): number => Math.round(value * 100) / 100;
  return {
    frames: frames.length,
    framesPerSecond: round((1000 * frames.length) / total),
    medianMillisecond: round(at(0.5)),
    p99Millisecond: round(at(0.99)),
    longestMillisecond: round(at(1)),
    above20Milliseconds: frames.filter((frame) => frame > 20).length,
  };
}

async function measure(page: Page): Promise<object> {
  const counting = await page.context().newCDPSession(page);
  await counting.send("Performance.enable", { timeDomain: "threadTicks" });
  const before = await busySeconds(counting);
  const frames = await pan(page);
  const busyMillisecondPerFrame = (1000 * ((await busySeconds(counting)) - before)) / frames.length;
  await counting.detach();
  return { ...summary(frames), busyMillisecondPerFrame: Math.round(busyMillisecondPerFrame * 100) / 100 };
}

const found = await findBrowser();
if (found === undefined) throw new Error("there is no Chromium: run npm run browser");
const browser = await chromium.launch({ executablePath: found.executablePath, args: [...found.args] });
const viewport = { width: 1180, height: 820 };
const results: Record<string, object> = {};
for (const [name, deviceScaleFactor] of [
  ["laptop", 1],
  ["tablet", 2],
] as const) {
  const page = await browser.newPage({ viewport, deviceScaleFactor });
  await openMap(page);
  results[`${name}, whole board`] = await measure(page);
  await page.getByRole("button", { name: "Zoom in" }).click({ clickCount: 4 });
  results[`${name}, close`] = await measure(page);
  photo = await makePhoto(page);
  const over = await browser.newPage({ viewport, deviceScaleFactor });
  await openMap(over);
  await over.getByLabel("Map over photo").waitFor();
  results[`${name}, whole board over a photo`] = await measure(over);
  await over.close();
  photo = undefined;
  await page.close();
}
await browser.close();
console.log(JSON.stringify({ parts: map.parts.length, chips, pads, secondsPerRun, results }));
