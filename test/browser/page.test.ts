import { afterAll, beforeAll, describe, vi } from "vitest";
import { accessibility } from "./accessibility.js";
import { entering } from "./entering.js";
import { keyboard } from "./keyboard.js";
import { practising } from "./practising.js";
import { openStage, type Stage } from "./support/pages.js";
import { together } from "./together.js";
import { wholeJobs } from "./whole-job.js";

// Other tests may run beside these, and nothing here is about how long something takes.
vi.setConfig({ testTimeout: 300_000, hookTimeout: 120_000 });

// One program and one browser serve all tests of the page: making a board ready takes longer than most of the tests.
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

describe("a whole job", () => wholeJobs(stage));
describe("entering", () => entering(stage));
describe("by keyboard alone", () => keyboard(stage));
describe("practice", () => practising(stage));
describe("every page", () => accessibility(stage));
// Last, since it ends the program in between.
describe("several pages", () => together(stage));
