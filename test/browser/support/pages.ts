import { randomUUID } from "node:crypto";
import { type Browser, type BrowserContext, chromium, type Page } from "playwright-core";
import { expect } from "vitest";
import { findBrowser } from "../../../scripts/find-browser.js";
import { ServedBench } from "./bench.js";

/** What the tests of the page work with: one served bench, one browser, a fresh context for each test. */
export interface Stage {
  readonly bench: ServedBench;
  readonly browser: Browser;
}

/** Starts both, the browser with further arguments. Throws if the program is not built or no Chromium is to be found. */
export async function openStage(browserArguments: readonly string[] = []): Promise<Stage> {
  const found = await findBrowser();
  if (found === undefined) throw new Error("there is no Chromium: run npm run browser");
  const bench = new ServedBench();
  const [browser] = await Promise.all([
    chromium.launch({ executablePath: found.executablePath, args: [...found.args, ...browserArguments] }),
    bench.start(),
  ]);
  makeReady(bench);
  return { bench, browser };
}

/** Has both engines make the second board ready while the first tests run on the first one. */
function makeReady(bench: ServedBench): void {
  const post = { method: "POST", headers: { "content-type": "application/json" } };
  const game = fetch(`${bench.address}/api/v1/practice`, {
    ...post,
    body: JSON.stringify({ board: "merrow", seed: 7 }),
  });
  // A failure here fails the tests that need it, each with its own words.
  game.catch(() => undefined);
}

/** How long a test waits for what the program works out: the machine that runs it may have much else to do. */
export const soon = { timeout: 60_000 } as const;

/** How a page is opened. */
export interface PageOptions {
  readonly colorScheme?: "light" | "dark";
  readonly width?: number;
  readonly height?: number;
}

/** A page in a context of its own that fails the test on any error the browser reports. */
export class BenchPage {
  readonly context: BrowserContext;
  readonly page: Page;
  readonly errors: string[] = [];

  private constructor(context: BrowserContext, page: Page) {
    this.context = context;
    this.page = page;
    page.on("pageerror", (error) => this.errors.push(error.message));
    page.on("console", (message) => {
      // Requests that fail while the program is stopped are the point of some tests.
      if (message.type() === "error" && !/Failed to load resource|net::ERR/.test(message.text())) {
        this.errors.push(message.text());
      }
    });
  }

  static async open({ browser }: Stage, options: PageOptions = {}): Promise<BenchPage> {
    const context = await browser.newContext({
      viewport: { width: options.width ?? 1180, height: options.height ?? 820 },
      colorScheme: options.colorScheme ?? "light",
      reducedMotion: "reduce",
    });
    context.setDefaultTimeout(soon.timeout);
    return new BenchPage(context, await context.newPage());
  }

  async go({ bench }: Stage, path: string): Promise<void> {
    await this.page.goto(`${bench.address}/#${path}`);
  }

  /** The heading of the next step. */
  title(): Promise<string> {
    return this.page.locator(".step-title").innerText();
  }

  /** Waits until nothing is on its way and the findings are those of the whole log. */
  async settled(): Promise<void> {
    await this.page.locator(".step[aria-busy=false], .step-done").first().waitFor();
    await this.page.locator(".log-waiting").waitFor({ state: "detached" });
    // A card that has just come does not take answers for a moment.
    await this.page.waitForTimeout(380);
  }

  async close(): Promise<void> {
    await this.context.close();
    expect(this.errors).toEqual([]);
  }
}

/** Opens a job by the API and returns its id. */
export async function openJob(
  { bench }: Stage,
  job: { board: string; title: string; entries: readonly object[]; instruments?: readonly string[] },
): Promise<string> {
  const id = randomUUID();
  const response = await fetch(`${bench.address}/api/v1/jobs`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({
      id,
      board: job.board,
      title: job.title,
      instruments: job.instruments ?? ["multimeter", "logic-probe"],
      entries: job.entries.map((entry) => ({ id: randomUUID(), entry })),
    }),
  });
  if (!response.ok) throw new Error(`the job was refused: ${await response.text()}`);
  return id;
}

/** Hides a fault by the API and returns the id of the game. */
export async function openGame({ bench }: Stage): Promise<string> {
  const response = await fetch(`${bench.address}/api/v1/practice`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ board: "merrow", seed: 7 }),
  });
  const id = /"id":"([^"]+)"/.exec(await response.text())?.[1];
  if (id === undefined) throw new Error(`no game was begun: status ${response.status}`);
  return id;
}

/** Entries that bring a Pellow 16 past its safety gate. */
export const pellowStart = [
  { kind: "symptom", what: "blank-in-border" },
  { kind: "symptom", what: "no-beep" },
  { kind: "gate", id: "supply", state: "passed" },
] as const;
