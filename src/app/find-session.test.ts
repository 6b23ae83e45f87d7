import { describe, expect, it } from "vitest";
import { caseOf, entry, preparedTinyBoard } from "../../test/support/prepared-board.js";
import type { Case } from "../core/find/case/case.js";
import { FindSession } from "./find-session.js";
import { renderLog } from "./log-text.js";
import { readLog } from "./read-log.js";

const prepared = preparedTinyBoard(
  "U1:74LS00 1=A 2=B 3=Y 4=Y 5=Y 6=Z 7=GND 14=+5V; J1:connector 1=A 2=B 3=Z 4=GND 5=+5V",
);

function open(log: Case = caseOf([])): FindSession {
  const { value, problems } = FindSession.open(prepared, log);
  if (value === undefined) throw new Error(JSON.stringify(problems));
  return value;
}

const low = { kind: "reading", at: "U1.3", with: "logic-probe", shows: "low" } as const;
const gate = { kind: "gate", id: "supply", state: "passed" } as const;

describe("a session", () => {
  it("works each entry out and keeps what it came to before", () => {
    const session = open();
    const first = session.result;
    expect(session.add([gate, low])).toEqual([]);
    expect(session.log.entries).toEqual([gate, low]);
    expect(session.before).toBe(first);
    expect(session.result).not.toBe(first);
    expect(session.result.supplyGate.state).toBe("passed");
  });

  it("refuses what cannot be placed, as a whole, and stays as it was", () => {
    const session = open();
    session.add([gate]);
    const { log, result } = session;
    const problems = session.add([low, { ...low, at: "U9.3" }]);
    expect(problems).toEqual([
      expect.objectContaining({ message: expect.stringMatching(/^There is no .*'U9'.*\.$/) }),
    ]);
    expect(session.log).toBe(log);
    expect(session.result).toBe(result);
  });

  it("does not open on a log with such an entry", () => {
    const { value, problems } = FindSession.open(prepared, caseOf([entry.probe("U9.3", "low")]));
    expect(value).toBeUndefined();
    expect(problems).toHaveLength(1);
  });

  it("takes entries back by striking them out, last first, and never forgets one", () => {
    const session = open();
    const atStart = session.result.suspects;
    session.add([gate]);
    session.add([low]);
    expect(session.undo()).toMatchObject({ number: 2, entry: low });
    expect(session.undo()).toMatchObject({ number: 1, entry: gate });
    expect(session.undo()).toBeUndefined();
    expect(session.result.suspects).toEqual(atStart);
    expect(session.log.entries).toEqual([
      gate,
      low,
      { kind: "strike", entry: 2 },
      { kind: "strike", entry: 1 },
    ]);
    expect(session.lines().map(({ struck }) => struck)).toEqual([true, true, false, false]);
  });

  it("strikes an entry out by its number, once", () => {
    const session = open();
    session.add([gate, low]);
    expect(session.strike(1)).toMatchObject({ number: 1 });
    expect(session.strike(1)).toMatchObject({ message: expect.stringContaining("already") });
    expect(session.strike(9)).toMatchObject({ message: expect.stringContaining("no entry 9") });
  });

  it("keeps a note without working anything out again", () => {
    const session = open();
    const { result } = session;
    expect(session.add([{ kind: "note", text: "dusty" }])).toEqual([]);
    expect(session.result).toBe(result);
    expect(session.log.entries).toHaveLength(1);
  });

  it("knows its suspects in either case, and says so of other parts", () => {
    const session = open();
    expect(session.suspect("u1")).toMatchObject({ part: "U1" });
    expect(session.suspect("U7")).toMatchObject({ message: expect.stringContaining("no part called 'U7'") });
  });

  it("writes a log that is read again as it was", () => {
    const session = open(caseOf([], { board: "tiny", instruments: ["multimeter"], spares: ["74LS00"] }));
    session.add([gate, low, { kind: "note", text: 'a "quoted" word\nand a line' }]);
    session.undo();
    const { value } = readLog({ file: "log.json", text: renderLog(session.log) });
    expect(value?.log).toEqual(session.log);
    expect(readLog({ file: "log.json", text: renderLog(caseOf([])) }).value?.log).toEqual(caseOf([]));
  });
});
