import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { EngineRoom } from "../../src/app/bench/engine-room.js";
import { BenchBoards } from "../../src/app/jobs/bench-boards.js";
import { isInstrument, JobBook } from "../../src/app/jobs/job-book.js";
import { Refusal } from "../../src/app/jobs/refusal.js";
import type { LoggedEntry } from "../../src/core/job/job-log.js";
import { deriveJob } from "../../src/core/job/job-state.js";
import { openJobStore } from "../../src/store/jobs/job-store.js";
import { openStore } from "../../src/store/store.js";

const store = openStore();
const boards = new BenchBoards(store);
const now = (): string => "2026-03-01T10:00:00.000Z";

let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "boardwake-replay-"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let ids = 0;
function newId(): string {
  ids += 1;
  return `00000000-0000-4000-8000-${String(ids).padStart(12, "0")}`;
}

const part = fc.constantFrom("U1", "U9", "U33", "U34");
const step = fc.constantFrom("logic-probe:/RAS", "visual-sweep", "symptom:keys");
const anyEntry: fc.Arbitrary<LoggedEntry> = fc.oneof(
  fc.record({
    kind: fc.constant("reading" as const),
    at: fc.constantFrom("U1.6", "U9.3", "rail:+5", "U34.11"),
    with: fc.constant("logic-probe" as const),
    shows: fc.constantFrom("low", "high", "pulsing"),
  }),
  fc.record({
    kind: fc.constant("repair" as const),
    part,
    what: fc.constantFrom("replaced" as const, "resoldered" as const),
    result: fc.constantFrom("fixed" as const, "unchanged" as const),
  }),
  fc.record({ kind: fc.constant("symptom" as const), what: fc.constantFrom("no-beep", "lamp-on") }),
  fc.record({ kind: fc.constant("strike" as const), entry: fc.integer({ min: 1, max: 20 }) }),
  fc.record({ kind: fc.constant("cannot" as const), step }),
  fc.record({ kind: fc.constant("job-setup" as const), spares: fc.array(fc.constantFrom("4164", "2114")) }),
  fc.record({ kind: fc.constant("note" as const), text: fc.string({ maxLength: 20 }) }),
  fc.constant<LoggedEntry>({ kind: "job-closed", verdict: { words: "done" } }),
  fc.constant<LoggedEntry>({ kind: "job-reopened" }),
);

/** True if the entry was added, false if the log as it stands does not take it. */
function addOrRefuse(book: JobBook, job: string, entry: LoggedEntry): boolean {
  try {
    book.add(job, { id: newId(), entry });
    return true;
  } catch (error) {
    if (error instanceof Refusal) return false;
    throw error;
  }
}

describe("a log that was kept entry by entry", () => {
  it("comes to the same as its file read afresh, whichever of two programs wrote each entry", () => {
    const file = join(folder, "jobs.db");
    const first = openJobStore(file);
    const second = openJobStore(file);
    const books = [new JobBook(first, boards, now), new JobBook(second, boards, now)] as const;
    let added = 0;
    let refused = 0;
    fc.assert(
      fc.property(fc.array(fc.tuple(anyEntry, fc.boolean()), { maxLength: 25 }), (script) => {
        const { job } = books[0].open({
          id: newId(),
          board: "merrow",
          title: "Random",
          instruments: ["logic-probe"],
          entries: [],
        });
        for (const [entry, isSecond] of script) {
          const before = books[0].read(job.id).entries.length;
          const isAdded = addOrRefuse(books[isSecond ? 1 : 0], job.id, entry);
          if (isAdded) added += 1;
          else refused += 1;
          expect(books[isSecond ? 0 : 1].read(job.id).entries).toHaveLength(before + (isAdded ? 1 : 0));
        }
        const fresh = new JobBook(first, boards, now);
        const kept = books[0].read(job.id).state;
        expect(fresh.read(job.id).state).toEqual(kept);
        expect(books[1].read(job.id).state).toEqual(kept);
        const bare = first.log(job.id).map(({ entry }) => entry);
        expect(deriveJob(JSON.parse(JSON.stringify(bare)), isInstrument)).toEqual(kept);
        expect(fresh.detail(job.id)).toEqual(books[1].detail(job.id));
      }),
      { seed: 20260302, numRuns: 60 },
    );
    // A script in which nothing is ever taken or nothing refused would check little.
    expect(added).toBeGreaterThan(200);
    expect(refused).toBeGreaterThan(50);
    first.close();
    second.close();
  });
});

describe("findings", () => {
  it("are those of the log, whatever was worked out before", () => {
    const watch = { progress: () => {}, isCancelled: () => false };
    const order = (entries: readonly LoggedEntry[], job: string) => {
      const opening: LoggedEntry = {
        kind: "job-setup",
        board: "merrow",
        title: "T",
        instruments: ["multimeter", "logic-probe"],
      };
      const state = deriveJob([opening, ...entries], isInstrument);
      const cannot = state.cannot.map((one) => one.step);
      return { job, board: "merrow", revision: state.revision, case: state.case, cannot };
    };
    const log: LoggedEntry[] = [
      { kind: "symptom", what: "wrong-characters" },
      { kind: "gate", id: "supply", state: "passed" },
      { kind: "characters", right: "A", wrong: "C" },
      { kind: "reading", at: "U45.6", with: "logic-probe", shows: "low" },
      { kind: "strike", entry: 5 },
      { kind: "repair", part: "U34", what: "replaced", result: "unchanged" },
    ];
    const room = new EngineRoom(store);
    for (const length of [2, 4, 5, 6]) room.perform("findings", order(log.slice(0, length), "job"), watch);
    room.perform("part", { ...order(log, "job"), ref: "U33" }, watch);
    const kept = room.perform("findings", order(log, "job"), watch);
    const fresh = new EngineRoom(store).perform("findings", order(log, "job"), watch);
    expect(kept.previous.length).toBeGreaterThan(0);
    expect({ ...kept, previous: [] }).toEqual(fresh);
  });

  it("propose no step that cannot be done here", () => {
    const watch = { progress: () => {}, isCancelled: () => false };
    const room = new EngineRoom(store);
    const base = {
      job: "job",
      board: "merrow",
      revision: 1,
      case: {
        board: "merrow",
        instruments: ["multimeter" as const, "logic-probe" as const],
        entries: [
          { kind: "gate" as const, id: "supply" as const, state: "passed" as const },
          { kind: "symptom" as const, what: "random-characters" },
        ],
      },
    };
    const all = room.perform("findings", { ...base, cannot: [] }, watch);
    const [first = ""] = all.steps.map(({ id }) => id);
    const fewer = room.perform("findings", { ...base, revision: 2, cannot: [first] }, watch);
    expect(fewer.steps.map(({ id }) => id)).not.toContain(first);
    expect(fewer.steps).toHaveLength(all.steps.length);
  });
});
