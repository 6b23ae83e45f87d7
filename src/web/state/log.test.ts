import { describe, expect, it } from "vitest";
import type { LogEntry, LogLine } from "../../app/api/entry.js";
import { lastUndoable, mergeLines } from "./log.js";

function line(number: number, entry: LogEntry = { kind: "note", text: "n" }, struck = false): LogLine {
  const id = `00000000-0000-4000-8000-${String(number).padStart(12, "0")}`;
  return { number, id, at: "2026-03-01T10:00:00.000Z", entry, text: `entry ${number}`, struck };
}

describe("new lines of a log", () => {
  it("go behind those that are there, and again change nothing", () => {
    const once = mergeLines([line(1)], [line(2), line(3)], undefined);
    expect(once?.map((one) => one.number)).toEqual([1, 2, 3]);
    expect(mergeLines(once ?? [], [line(3)], undefined)).toEqual(once);
  });

  it("with a gap before them ask for the whole log", () => {
    expect(mergeLines([line(1)], [line(3)], undefined)).toBeUndefined();
  });

  it("strike out lines and bring them back", () => {
    const struck = mergeLines([line(1), line(2)], [line(3, { kind: "strike", entry: 2 })], new Set([2]));
    expect(struck?.map((one) => one.struck)).toEqual([false, true, false]);
    const back = mergeLines(struck ?? [], [line(4, { kind: "strike", entry: 3 })], new Set([3]));
    expect(back?.map((one) => one.struck)).toEqual([false, false, true, false]);
  });
});

describe("undo", () => {
  it("takes the latest entry that stands and is no strike", () => {
    const log = [
      line(1, { kind: "job-setup", title: "t" }),
      line(2),
      line(3, undefined, true),
      line(4, { kind: "strike", entry: 3 }),
    ];
    expect(lastUndoable(log)?.number).toBe(2);
  });

  it("leaves the entry that opens the job alone", () => {
    expect(lastUndoable([line(1, { kind: "job-setup", title: "t" })])).toBeUndefined();
  });
});
