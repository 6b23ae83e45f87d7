import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { runCli, wideLines } from "../../test/support/cli.js";
import { beltOutputSchema, deckOutputSchema, toneOutputSchema } from "../app/output/deck-output.js";
import { renderTones } from "../core/deck/test-tone.js";
import { wavFile } from "../core/signal/wav-write.js";
import { openJobStore } from "../store/jobs/job-store.js";

const folder = mkdtempSync(join(tmpdir(), "boardwake-deck-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const rateHz = 16000;
const samples = renderTones([{ hz: 3150, seconds: 25, levelDecibel: -8 }], rateHz, {
  speedErrorRatio: 0.02,
  flutter: [{ hz: 6.18, depthRatio: 0.002 }],
});
const recording = join(folder, "tone.wav");
writeFileSync(recording, wavFile([samples], rateHz));

describe("boardwake deck measure", () => {
  it("prints JSON of the documented form", async () => {
    const { code, out, err } = await runCli(["deck", "measure", recording, "--capstan", "2.5", "--json"]);
    expect([code, err]).toEqual([0, ""]);
    const read = deckOutputSchema.parse(JSON.parse(out));
    expect(read).toMatchObject({ toneHz: 3150, otherToneHz: null, dropouts: [], ownRecording: false });
    expect(read.speedErrorPercent).toBeCloseTo(2, 2);
    expect(read.flutterUnweightedPeakPercent).toBeCloseTo(0.2, 2);
    expect(read.peaks[0]?.causes[0]).toMatchObject({ part: "capstan", harmonic: 1, usualSize: false });
    expect(read.verdict).toMatchObject({ limits: "data-recorder", grade: "fair" });
  });

  it("reads the same from the input stream, and a page for people that fits 80 columns", async () => {
    const bytes = wavFile([samples], rateHz);
    const { code, out } = await runCli(["deck", "measure", "-"], { bytes });
    expect(code).toBe(0);
    expect(out).toContain("Tone of 3150 Hz heard as 321");
    expect(wideLines(out)).toEqual([]);
  });

  it("is in doubt about a tone between the two, and says with which the error would be what", async () => {
    const between = join(folder, "between.wav");
    writeFileSync(
      between,
      wavFile([renderTones([{ hz: 3080, seconds: 8, levelDecibel: -8 }], rateHz)], rateHz),
    );
    const { code, out, err } = await runCli(["deck", "measure", between, "--json"]);
    expect(code).toBe(1);
    expect(err).toContain("may be 3150 or 3000 Hz");
    expect(deckOutputSchema.parse(JSON.parse(out)).otherToneHz).toBe(3000);
    expect((await runCli(["deck", "measure", between, "--tone", "3000"])).code).toBe(0);
    const asked = await runCli(["deck", "measure", between], { isInteractive: true, lines: ["3000"] });
    expect(asked.code).toBe(0);
    expect(asked.out).toContain("Which tone is on the tape, 3150 or 3000 Hz?");
    expect(asked.out).toContain("Tone of 3000 Hz heard as 3080.00 Hz");
  });

  it("hides nothing on the deck's own recording, but does not judge its speed", async () => {
    const { out } = await runCli(["deck", "measure", recording, "--own-recording", "--json"]);
    const read = deckOutputSchema.parse(JSON.parse(out));
    expect(read.verdict.notMeasured).toContain("speed-error");
    expect(read.hints[0]).toContain("recorded on this deck");
  });

  it.each<[string, () => string[], number, RegExp]>([
    ["no recording", () => ["measure", join(folder, "gone.wav")], 3, /no such file/],
    ["something else", () => ["measure", "package.json"], 3, /no recording that can be read/],
    ["silence", () => ["measure", silence()], 3, /silent/],
    ["unknown limits", () => ["measure", recording, "--limits", "data-recorde"], 2, /mean 'data-recorder'/],
    ["a tone far off", () => ["measure", recording, "--tone", "50"], 2, /2000 to 4200/],
    ["a size that cannot be", () => ["measure", recording, "--capstan", "0"], 2, /above 0/],
  ])("refuses %s", async (_, words, expected, says) => {
    const { code, out, err } = await runCli(["deck", ...words()]);
    expect(code).toBe(expected);
    expect(err).toMatch(says);
    expect(out).toBe("");
  });

  it("keeps readings before and after the work in a job", async () => {
    const jobs = openJobStore(":memory:");
    const opened = await runCli(["job", "open", "--board", "merrow", "--title", "Attic"], { jobs });
    expect(opened.code).toBe(0);
    for (const stage of ["before", "after"]) {
      const { code } = await runCli(["deck", "measure", recording, "--job", "Attic", "--stage", stage], {
        jobs,
      });
      expect(code).toBe(0);
    }
    const { out } = await runCli(["job", "show", "Attic"], { jobs });
    expect(out).toMatch(/Deck measured before the work: speed \+2\.00 %/);
    expect(out).toMatch(/Deck measured after the work/);
    jobs.close();
  });
});

describe("boardwake deck tone, belt and care", () => {
  it("writes a test tone that measures right", async () => {
    const file = join(folder, "made.wav");
    const made = await runCli(["deck", "tone", "--out", file, "--seconds", "8", "--tone", "3000", "--json"]);
    expect(toneOutputSchema.parse(JSON.parse(made.out))).toMatchObject({ tones: [3000], seconds: 8 });
    const { out } = await runCli(["deck", "measure", file, "--json"]);
    const read = deckOutputSchema.parse(JSON.parse(out));
    expect(read.speedErrorPercent).toBeCloseTo(0, 4);
    expect(read.levelDecibel.map((level) => Number(level.toFixed(2)))).toEqual([-10, -10]);
  });

  it("works a belt out from pulleys", async () => {
    const words = ["deck", "belt", "--pulleys", "12,60", "--distance", "80", "--section", "flat", "--json"];
    const belt = beltOutputSchema.parse(JSON.parse((await runCli(words)).out));
    expect(belt.pathMillimetres).toBeCloseTo(280.353, 3);
    expect(belt.innerMillimetres.usual).toBeCloseTo(280.353 / 1.04, 2);
    expect(wideLines((await runCli(words.slice(0, -1))).out)).toEqual([]);
  });

  it.each([
    ["two clues", ["belt", "--old", "200", "--path", "210"]],
    ["no clue", ["belt"]],
    ["a pulley of words", ["belt", "--pulleys", "a,b", "--distance", "50"]],
    ["half a correction", ["belt", "--old", "200", "--motor-pulley", "10"]],
    ["a length below 0", ["belt", "--old", "-4"]],
    ["a tone above half the rate", ["tone", "--out", "x.wav", "--tone", "5000", "--rate", "8000"]],
    ["an hour and more", ["tone", "--out", "x.wav", "--seconds", "4000"]],
    ["an unknown task", ["care", "cleen"]],
  ])("refuses %s", async (_, words) => {
    const { code, out } = await runCli(["deck", ...words]);
    expect([code, out]).toEqual([2, ""]);
  });

  it.each(["clean", "demagnetise", "belt", "speed", "azimuth"])(
    "prints the steps to %s with cautions",
    async (task) => {
      const { code, out } = await runCli(["deck", "care", task]);
      expect(code).toBe(0);
      expect(out).toMatch(/^ {3}! /m);
      expect(wideLines(out)).toEqual([]);
    },
  );
});

function silence(): string {
  const file = join(folder, "silence.wav");
  writeFileSync(file, wavFile([new Float32Array(5 * rateHz)], rateHz));
  return file;
}
