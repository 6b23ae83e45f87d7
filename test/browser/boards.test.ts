import { deflateSync } from "node:zlib";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { brokenRules } from "./support/broken-rules.js";
import { BenchPage, openJob, openStage, pellowStart, type Stage } from "./support/pages.js";

vi.setConfig({ testTimeout: 300_000, hookTimeout: 120_000 });

let opened: Stage | undefined;

function stage(): Stage {
  if (opened === undefined) throw new Error("neither program nor browser is running");
  return opened;
}

beforeAll(async () => {
  opened = await openStage();
});
afterAll(async () => {
  await opened?.browser.close();
  await opened?.bench.close();
});

/** A gate, a chip nobody knows and a plug, as a table of pins. */
const table = (line: string): string => `ref,pin,net,type
U1,1,IN,74LS00
U1,2,SEL,74LS00
U1,3,${line},74LS00
U1,7,GND,74LS00
U1,14,+5V,74LS00
U2,1,OUT,MYSTERY
U2,2,SEL,MYSTERY
U2,8,GND,MYSTERY
U2,16,+5V,MYSTERY
J1,1,+5V,CONN
J1,2,GND,CONN
`;

const csv = (line: string) => ({ name: "attic.csv", mimeType: "text/csv", buffer: Buffer.from(table(line)) });

/** A grey PNG picture (W3C Recommendation, section 5) of that many pixels. */
function greyPng(width: number, height: number): Buffer {
  const chunk = (name: string, content: Buffer): Buffer => {
    const length = Buffer.alloc(4);
    length.writeUInt32BE(content.length);
    const named = Buffer.concat([Buffer.from(name, "latin1"), content]);
    const sum = Buffer.alloc(4);
    sum.writeUInt32BE(crc32(named));
    return Buffer.concat([length, named, sum]);
  };
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header.writeUInt8(8, 8);
  const rows = Buffer.alloc((width + 1) * height, 0x60);
  for (let y = 0; y < height; y += 1) rows[y * (width + 1)] = 0;
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10]),
    chunk("IHDR", header),
    chunk("IDAT", deflateSync(rows)),
    chunk("IEND", Buffer.alloc(0)),
  ]);
}

function crc32(bytes: Buffer): number {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit += 1) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  return (crc ^ 0xffffffff) >>> 0;
}

describe("a board of one's own", () => {
  it("is brought, kept, compared with its next version, and worked on", async () => {
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    await bench.go(stage(), "/boards");
    await page.locator("input[type=file]").setInputFiles(csv("OUT"));
    await page.getByText("1 of 2 chips recognised").waitFor();
    expect(await page.locator(".correction").innerText()).toContain("U2");
    await page.getByLabel("What the board is called").fill("Attic board");
    expect(await brokenRules(page, "bring")).toEqual([]);
    await page.getByRole("button", { name: "Keep this board" }).click();
    await page.locator(".map-canvas").waitFor();
    await page.locator(".bring input[type=file]").last().setInputFiles(csv("BACK"));
    await page.getByRole("button", { name: "Keep as a new version" }).click();
    await page.getByText("U1.3: OUT → BACK").waitFor();
    expect(await brokenRules(page, "board")).toEqual([]);
    await bench.go(stage(), "/new");
    await page.getByRole("button", { name: /^Attic board/ }).click();
    await page.getByRole("button", { name: "Begin" }).click();
    await page.locator(".step-title").waitFor();
    await bench.close();
  });

  it("that is no board is refused in a sentence, and nothing is kept", async () => {
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    await bench.go(stage(), "/boards");
    const buffer = Buffer.from([0xff, 0xfe, 0, 1]);
    await page.locator("input[type=file]").setInputFiles({ name: "a.net", mimeType: "text/plain", buffer });
    expect(await page.getByRole("alert").innerText()).toContain("no text in UTF-8");
    expect(await page.getByRole("button", { name: "Keep this board" }).count()).toBe(0);
    await bench.close();
  });
});

describe("a part type of one's own", () => {
  it("is added in the page by keyboard and found again", async () => {
    const bench = await BenchPage.open(stage(), { colorScheme: "dark" });
    const { page } = bench;
    await bench.go(stage(), "/types");
    await page.getByRole("button", { name: "Add a type" }).press("Enter");
    await page.getByLabel("Number or name").fill("ULA-3");
    await page.getByLabel("What it is, in a few words").fill("custom chip");
    await page.getByLabel(/^Pins/).fill("1 A in\n2 Y out\n7 GND ground\n14 VCC power");
    expect(await brokenRules(page, "type")).toEqual([]);
    await page.getByRole("button", { name: "Keep this type" }).press("Enter");
    await page.getByRole("searchbox").fill("ula");
    await page.getByRole("button", { name: "Change ULA-3" }).waitFor();
    await bench.close();
  });
});

describe("the map of a job", () => {
  it("finds a line and lists where to touch it, and lies over a photo marked by keys alone", async () => {
    const job = await openJob(stage(), { board: "pellow-16", title: "Photo", entries: pellowStart });
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    await bench.go(stage(), `/job/${job}`);
    await bench.settled();
    await page.getByRole("searchbox").fill("CASEN");
    await page.getByRole("list", { name: /^Where to touch CASEN/ }).waitFor();
    await page.getByRole("button", { name: "Lay it over a photo" }).click();
    const photo = { name: "p.png", mimeType: "image/png", buffer: greyPng(600, 400) };
    await page.locator("dialog input[type=file]").setInputFiles(photo);
    const field = page.getByRole("application", { name: "Photo of the board" });
    await field.focus();
    for (const keys of [
      ["ArrowLeft", "ArrowUp"],
      ["ArrowRight", "ArrowRight"],
      ["ArrowDown", "ArrowDown"],
    ]) {
      for (const key of keys) for (let i = 0; i < 6; i += 1) await field.press(key);
      await field.press("Enter");
    }
    expect(await brokenRules(page, "photo")).toEqual([]);
    await page.getByRole("button", { name: "Lay the map over it" }).press("Enter");
    await page.getByLabel("Map over photo").waitFor();
    await page.getByLabel("Map over photo").press("ArrowLeft");
    expect(await page.getByLabel("Map over photo").inputValue()).toBe("50");
    expect(await brokenRules(page, "map over photo")).toEqual([]);
    await bench.close();
  });

  it("takes wiring as typed, shows a contradiction with both facts, and lets one be struck out", async () => {
    const job = await openJob(stage(), { board: "pellow-16", title: "Wiring", entries: pellowStart });
    const bench = await BenchPage.open(stage());
    const { page } = bench;
    await bench.go(stage(), `/job/${job}`);
    await bench.settled();
    const type = async (line: string, heard: string): Promise<void> => {
      const field = page.getByRole("combobox", { name: /Saw or did/ });
      await field.fill(line);
      await page.locator(".entry-echo", { hasText: heard }).waitFor();
      await field.press("Enter");
    };
    await type("U2.2 to U3.3 rings", "Wiring: U2.2 to U3.3 rings");
    await page.locator(".growth").waitFor();
    await type("U2.2 to U3.3 does not ring", "does not ring");
    await page.locator(".growth-against").waitFor();
    expect(await brokenRules(page, "growth")).toEqual([]);
    await page
      .locator(".growth-against")
      .getByRole("button", { name: /does not ring/ })
      .click();
    await page.locator(".growth-against").waitFor({ state: "detached" });
    expect(await page.locator(".job-log").innerText()).toContain("U2.2 to U3.3");
    await bench.close();
  });
});
