import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type CaseEntry, type Instrument, instruments, standingEntries } from "../find/case/case.js";
import { whyRefused } from "./accept.js";
import { type LoggedEntry, mostEntries, struckNumbers } from "./job-log.js";
import { deriveJob, describeJobEntry, type JobState } from "./job-state.js";

const opening: LoggedEntry = {
  kind: "job-setup",
  board: "merrow",
  title: "Attic find",
  instruments: ["multimeter", "logic-probe"],
};
const low: LoggedEntry = { kind: "reading", at: "U1.3", with: "logic-probe", shows: "low" };
const closing: LoggedEntry = { kind: "job-closed", verdict: { part: "U1", words: "replaced" } };

function isInstrument(name: string): name is Instrument {
  return instruments.some((known) => known === name);
}

function derive(...entries: LoggedEntry[]): JobState {
  return deriveJob(entries, isInstrument);
}

function strike(entry: number): LoggedEntry {
  return { kind: "strike", entry };
}

function refusedFor(entries: LoggedEntry[], entry: LoggedEntry): string | undefined {
  return whyRefused(deriveJob(entries, isInstrument), entries, entry)?.code;
}

describe("the state of a job", () => {
  it("begins with what the first entry says", () => {
    expect(derive(opening)).toMatchObject({
      board: "merrow",
      title: "Attic find",
      instruments: ["multimeter", "logic-probe"],
      spares: [],
      year: undefined,
      isOpen: true,
      verdict: undefined,
      revision: 1,
    });
  });

  it("takes from a later setup only the fields that it gives, and never a board", () => {
    const state = derive(opening, {
      kind: "job-setup",
      board: "pellow-16",
      spares: ["4164"],
      priorFactors: { U9: 4 },
    });
    expect(state).toMatchObject({ board: "merrow", title: "Attic find", spares: ["4164"] });
    expect(state.case).toMatchObject({ board: "merrow", spares: ["4164"], priorFactors: { U9: 4 } });
  });

  it("forgets a setup that was struck out, but not the opening", () => {
    const bought: LoggedEntry = { kind: "job-setup", instruments: ["oscilloscope"] };
    expect(derive(opening, bought).instruments).toEqual(["oscilloscope"]);
    expect(derive(opening, bought, strike(2)).instruments).toEqual(["multimeter", "logic-probe"]);
    expect(derive(opening, strike(1)).title).toBe("Attic find");
  });

  it("is closed by a verdict, and open again after a reopening or when the closing is struck out", () => {
    expect(derive(opening, closing)).toMatchObject({
      isOpen: false,
      closedBy: 2,
      verdict: { part: "U1", words: "replaced" },
    });
    expect(derive(opening, closing, { kind: "job-reopened" })).toMatchObject({ isOpen: true });
    expect(derive(opening, closing, strike(2)).isOpen).toBe(true);
    expect(derive(opening, closing, strike(2), strike(3)).isOpen).toBe(false);
  });

  it("holds each step that cannot be done once, until it is struck out", () => {
    const cannot: LoggedEntry = { kind: "cannot", step: "oscilloscope:CLK" };
    expect(derive(opening, cannot, cannot).cannot).toEqual([{ step: "oscilloscope:CLK", entry: 2 }]);
    expect(derive(opening, cannot, strike(2)).cannot).toEqual([]);
  });

  it("gives the engine a log with the same numbers, in which job entries are notes", () => {
    const { case: logged } = derive(opening, low, closing);
    expect(logged.entries.map(({ kind }) => kind)).toEqual(["note", "reading", "note"]);
    expect(logged.entries[1]).toEqual(low);
    expect(logged.entries[2]).toEqual({ kind: "note", text: "Job closed, U1 was at fault: replaced" });
  });

  it("leaves instruments out of the case that the engine does not know", () => {
    const state = derive({ ...opening, instruments: ["multimeter", "dowsing-rod"] });
    expect(state.instruments).toEqual(["multimeter", "dowsing-rod"]);
    expect(state.case.instruments).toEqual(["multimeter"]);
  });
});

describe("striking out", () => {
  it.each<[string, LoggedEntry[], number[]]>([
    ["nothing", [opening, low], []],
    ["one entry", [opening, low, strike(2)], [2]],
    ["an entry brought back", [opening, low, strike(2), strike(3)], [3]],
    ["an entry taken out again", [opening, low, strike(2), strike(3), strike(4)], [2, 4]],
    ["an entry that is not before it", [opening, strike(2), strike(9)], []],
  ])("takes out %s", (_, entries, expected) => {
    expect([...struckNumbers(entries)].sort((a, b) => a - b)).toEqual(expected);
  });

  it("means what the engine takes it to mean, whatever the log", () => {
    const note: CaseEntry = { kind: "note", text: "n" };
    const reading: CaseEntry = { kind: "reading", at: "U1.3", with: "logic-probe", shows: "low" };
    const entry = fc.oneof(
      fc.constant(note),
      fc.constant(reading),
      fc.integer({ min: 1, max: 14 }).map((number): CaseEntry => ({ kind: "strike", entry: number })),
    );
    fc.assert(
      fc.property(fc.array(entry, { maxLength: 12 }), (entries) => {
        const struck = struckNumbers(entries);
        const standing = entries.flatMap(({ kind }, i) =>
          kind === "reading" && !struck.has(i + 1) ? [i + 1] : [],
        );
        expect(standing).toEqual(standingEntries(entries).map(({ number }) => number));
      }),
      { seed: 20260301, numRuns: 500 },
    );
  });
});

describe("what may be added", () => {
  it.each<[string, LoggedEntry[], LoggedEntry, string | undefined]>([
    ["a reading to an open job", [opening], low, undefined],
    ["a reading to a closed job", [opening, closing], low, "job-closed"],
    ["a note to a closed job", [opening, closing], { kind: "note", text: "paid" }, undefined],
    ["a second closing", [opening, closing], closing, "job-closed"],
    ["a reopening of a closed job", [opening, closing], { kind: "job-reopened" }, undefined],
    ["a reopening of an open job", [opening], { kind: "job-reopened" }, "job-open"],
    ["a strike of a reading", [opening, low], strike(2), undefined],
    ["a strike of what is not there", [opening, low], strike(3), "unknown-entry"],
    ["a strike of the opening", [opening, low], strike(1), "opening-entry"],
    ["a second strike of one entry", [opening, low, strike(2)], strike(2), "entry-struck"],
    ["a strike of a strike", [opening, low, strike(2)], strike(3), undefined],
    ["a strike in a closed job", [opening, low, closing], strike(2), "job-closed"],
    ["a strike of the closing", [opening, low, closing], strike(3), undefined],
    ["another board", [opening], { kind: "job-setup", board: "pellow-16" }, "board-fixed"],
    ["the same board", [opening], { kind: "job-setup", board: "merrow" }, undefined],
    ["a setup of a closed job", [opening, closing], { kind: "job-setup", year: 2026 }, "job-closed"],
  ])("%s", (_, entries, entry, code) => {
    expect(refusedFor(entries, entry)).toBe(code);
  });

  it("nothing to a full log", () => {
    const full = [opening, ...Array.from({ length: mostEntries - 1 }, () => low)];
    expect(refusedFor(full, low)).toBe("log-full");
    expect(refusedFor(full.slice(1), low)).toBeUndefined();
  });
});

describe("an entry of the job in words", () => {
  it.each<[Parameters<typeof describeJobEntry>[0], string]>([
    [
      { kind: "job-setup", board: "merrow", title: "A", instruments: [], year: 2026 },
      "Job opened: 'A'; board merrow; instruments: none; year 2026",
    ],
    [
      { kind: "job-setup", spares: ["4164", "2732"], priorFactors: { U1: 2 } },
      "Job changed: spares: 4164, 2732; own factors on the odds",
    ],
    [{ kind: "job-closed", verdict: { words: "given back" } }, "Job closed: given back"],
    [{ kind: "job-reopened" }, "Job reopened"],
    [{ kind: "job-reopened", why: "it came back" }, "Job reopened: it came back"],
    [{ kind: "cannot", step: "twin:CLK" }, "Cannot be done here: twin:CLK"],
    [{ kind: "cannot", step: "twin:CLK", says: "compare CLK" }, "Cannot be done here: compare CLK"],
    [
      {
        kind: "deck-measurement",
        stage: "before",
        toneHz: 3150,
        speedErrorPercent: -1.234,
        flutterWeightedPeakPercent: 0.31,
        dropouts: 1,
        limits: "data-recorder",
        grade: "fair",
      },
      "Deck measured before the work: speed −1.23 %; wow and flutter ±0.310 % weighted; 1 dropout; fair by data-recorder",
    ],
    [
      { kind: "deck-measurement", stage: "after", toneHz: 3000, dropouts: 0, note: "new belt" },
      "Deck measured after the work: speed hidden by its own recording; 0 dropouts; new belt",
    ],
  ])("%j", (entry, text) => {
    expect(describeJobEntry(entry)).toBe(text);
  });
});
