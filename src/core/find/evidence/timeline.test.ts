import { describe, expect, it } from "vitest";
import {
  caseOf,
  entry,
  plainSpace,
  preparedBoard,
  type TypedEntry,
} from "../../../../test/support/prepared-board.js";
import { eventsOfCase } from "../case/events.js";
import { findFaults } from "../find.js";
import { machineCode } from "../reason/space.js";
import { machineObservables } from "../table/chain.js";
import { readTimeline } from "./timeline.js";

const prepared = preparedBoard("pellow-16");
const merrow = preparedBoard("merrow");
const space = plainSpace(prepared);
const read = (...entries: TypedEntry[]) => readTimeline(space, caseOf(entries));
/** Labels of the evidence, epoch by epoch. */
const labels = (...entries: TypedEntry[]): string[][] =>
  read(...entries).epochs.map((epoch) => epoch.map(({ label }) => label));

const blank = "One even field inside an intact border, nothing written in it.";
const noBeep = "No beep at start-up.";
const ofPicture = "complaint: picture";
const ofSound = "complaint: sound";
const swap = (part: string, result: string): TypedEntry => ({ kind: "swap", part, result });

describe("the epochs of a log", () => {
  it("are one until the machine is changed", () => {
    expect(labels(entry.gate, entry.symptom("blank-in-border"), entry.probe("/RAS", "pulsing"))).toEqual([
      [blank, "/RAS pulsing (logic-probe)", ofPicture],
    ]);
  });

  it("begin anew with each change, whatever is seen then", () => {
    const reseat: TypedEntry = { kind: "reseat", part: "U5", result: "changed" };
    const repair: TypedEntry = { kind: "repair", part: "U17" };
    const log = [entry.symptom("blank-in-border"), reseat, repair, entry.symptom("no-beep")];
    expect(labels(...log)).toEqual([[blank, ofPicture], [], [noBeep, ofSound]]);
    expect(read(...log).boundaries.map(({ number, label }) => [number, label])).toEqual([
      [2, "U5 reseated: changed"],
      [3, "U17 replaced"],
    ]);
  });

  it("know what each kind of work takes away", () => {
    const { replacementBad, reseatCures } = space.model.errors;
    const kinds: readonly (readonly [TypedEntry, readonly string[], number])[] = [
      [swap("U5", "changed"), ["part"], 1 - replacementBad],
      [{ kind: "repair", part: "U5" }, ["part"], 1 - replacementBad],
      [{ kind: "repair", part: "U17" }, ["part", "track", "bridge", "socket"], 1 - replacementBad],
      [{ kind: "repair", part: "U5", what: "resoldered" }, ["track", "bridge"], 1 - replacementBad],
      [{ kind: "repair", part: "U5", what: "cleaned" }, ["socket", "bridge"], 1 - replacementBad],
      [{ kind: "repair", part: "U5", what: "reseated" }, ["socket"], reseatCures],
      [{ kind: "reseat", part: "U5", result: "changed" }, ["socket"], reseatCures],
    ];
    for (const [work, sites, removes] of kinds) {
      expect(read(work).boundaries[0]).toMatchObject({ sites, removes });
    }
  });

  it("take a swap for a reseating as well, with the chance of that", () => {
    const { boundaries, epochs } = read(swap("U5", "unchanged"));
    expect(boundaries.map(({ number, sites, removes }) => [number, sites, removes])).toEqual([
      [1, ["part"], 1 - space.model.errors.replacementBad],
      [1, ["socket"], space.model.errors.reseatCures],
    ]);
    expect(epochs.map((epoch) => epoch.length)).toEqual([0, 0, 1]);
  });

  it("carry the symptoms over an unchanged swap, the last of each kind, and readings not", () => {
    const log = [
      entry.symptom("no-picture"),
      entry.symptom("no-beep"),
      entry.probe("/RAS", "pulsing"),
      entry.symptom("blank-in-border"),
      swap("U17", "unchanged"),
    ];
    expect(labels(...log)[1]).toEqual([noBeep, blank, "complaint: sound, picture"]);
    expect(read(...log).epochs[1]?.map(({ number }) => number)).toEqual([5, 5, 5]);
  });

  it("carry wrong characters and dead key lines over as well", () => {
    const log: TypedEntry[] = [
      { kind: "characters", right: "A", wrong: "I" },
      entry.symptom("some-keys-dead", { lines: ["KC0"] }),
      swap("U46", "unchanged"),
    ];
    const [first, second] = labels(...log);
    expect(second).toEqual(first);
    expect(second).toContain("key line KC0 dead");
    expect(second).toContain("I for A: bit 3 high for low");
  });

  it("take an unchanged swap without any symptom for a machine that still fails", () => {
    expect(labels(entry.probe("/RAS", "low"), swap("U17", "unchanged"))[1]).toEqual([
      "The machine does not work.",
    ]);
  });

  it("know nothing after a change but what follows", () => {
    expect(labels(entry.symptom("no-beep"), swap("U17", "changed"))).toEqual([[noBeep, ofSound], []]);
  });

  it("take a fixed swap for a machine that works", () => {
    expect(labels(entry.symptom("no-beep"), swap("U17", "fixed"))[1]).toEqual([
      "The machine works in every respect that was tried.",
    ]);
  });
});

describe("the complaint", () => {
  const shareOf = (ref: string, ...entries: TypedEntry[]): number => {
    const result = findFaults(merrow, caseOf(entries), { steps: 0 });
    return result.suspects.find(({ part }) => part === ref)?.probability ?? 0;
  };

  it("is what was reported wrong, and nothing that was reported right", () => {
    const log = [entry.symptom("picture-normal"), entry.symptom("no-beep"), entry.symptom("keys-work")];
    expect(labels(...log)[0]).toContain(ofSound);
    expect(labels(entry.symptom("picture-normal"), entry.symptom("start-beep"))[0]).toHaveLength(2);
    expect(labels(entry.symptom("dead"))[0]).toHaveLength(1);
  });

  it("is of the picture where characters are wrong", () => {
    expect(labels({ kind: "characters", right: "A", wrong: "I" })[0]).toContain(ofPicture);
  });

  it("weighs a fault that shows nothing there as groundless, another as not", () => {
    const [epoch] = readTimeline(space, caseOf([entry.symptom("tape-fails")])).epochs;
    const complaint = epoch?.find(({ label }) => label === "complaint: tape");
    const { complaintGroundless } = space.model.errors;
    const tape = machineObservables.indexOf("tape");
    for (const view of space.views) {
      const shows = machineCode(view, tape) !== machineCode(space.health, tape);
      expect(complaint?.likelihoodOf(view, [])).toBe(shows ? 1 - complaintGroundless : complaintGroundless);
    }
  });

  it("of the tape alone does not name a supply unit whose faults leave the tape alone", () => {
    const log = [
      entry.gate,
      entry.symptom("picture-normal"),
      entry.symptom("start-beep"),
      entry.symptom("tape-fails"),
    ];
    expect(shareOf("PSU1", ...log)).toBeLessThan(shareOf("U50", ...log) / 3);
  });
});

describe("the supply gate", () => {
  const gateAfter = (...entries: TypedEntry[]) => {
    const { supplyGate, gateImplied } = read(...entries);
    return [supplyGate, gateImplied];
  };

  it("is open until it is ticked", () => {
    expect(gateAfter()).toEqual(["open", false]);
    expect(gateAfter(entry.gate)).toEqual(["passed", false]);
    expect(gateAfter({ ...entry.gate, state: "failed" })).toEqual(["failed", false]);
  });

  it("is implied by what needs power to be seen", () => {
    for (const powered of [
      entry.probe("/RAS", "low"),
      entry.volts("rail:+5", 5),
      { kind: "other-supply", result: "unchanged" },
      { kind: "flexed", result: "unchanged" },
      { kind: "removed", part: "U5", at: "D0", shows: "freed" },
    ]) {
      expect(gateAfter(powered), powered.kind).toEqual(["passed", true]);
    }
  });

  it("is not implied by symptoms, which may be hearsay, nor by readings without power", () => {
    expect(gateAfter(entry.symptom("no-beep"))).toEqual(["open", false]);
    expect(gateAfter({ kind: "characters", right: "A", wrong: "I" })).toEqual(["open", false]);
    expect(gateAfter({ kind: "reading", at: "net:+5", with: "multimeter", ohms: 40 })).toEqual([
      "open",
      false,
    ]);
    expect(gateAfter({ kind: "reading", at: "U17", with: "eye", shows: "clean" })).toEqual(["open", false]);
    expect(gateAfter(swap("U5", "unchanged"))).toEqual(["open", false]);
  });

  it("stays failed whatever is read", () => {
    const failed = { ...entry.gate, state: "failed" };
    expect(gateAfter(failed, entry.volts("rail:+5", 7))).toEqual(["failed", false]);
  });

  it("is not implied by a reading that could not be placed", () => {
    expect(gateAfter(entry.probe("U99.1", "low"))).toEqual(["open", false]);
  });
});

describe("the condition of an observation", () => {
  const conditionOf = (...entries: TypedEntry[]) => read(...entries).epochs[0]?.[0]?.condition;

  it.each([
    [{}, "unknown"],
    [{ when: "cold" }, "cold"],
    [{ when: "warm" }, "warm"],
    [{ minutesSincePowerOn: 10 }, "cold"],
    [{ minutesSincePowerOn: 11 }, "warm"],
    [{ when: "cold", minutesSincePowerOn: 60 }, "cold"],
  ])("with %o is %s", (more, expected) => {
    expect(conditionOf(entry.probe("/RAS", "low", more))).toBe(expected);
    expect(conditionOf(entry.symptom("no-beep", more))).toBe(expected);
    expect(conditionOf({ kind: "characters", right: "A", wrong: "I", ...more })).toBe(expected);
  });

  it("is unpowered for what is read with the power off, and warm for warming and cooling", () => {
    expect(conditionOf({ kind: "reading", at: "U17", with: "eye", shows: "clean", when: "warm" })).toBe(
      "unpowered",
    );
    expect(conditionOf({ kind: "warmed", result: "appears" })).toBe("warm");
    expect(conditionOf({ kind: "cooled", part: "U17", result: "vanishes" })).toBe("warm");
    expect(conditionOf({ kind: "flexed", result: "appears" })).toBe("unknown");
  });
});

describe("entries that cannot be used", () => {
  it.each([
    [entry.symptom("no-beeep"), "unknown-symptom", "Did you mean no-beep?"],
    [entry.symptom("xyz"), "unknown-symptom", "'boardwake find --symptoms' lists them."],
    [{ kind: "characters", right: "AB", wrong: "C" }, "bad-character", undefined],
    [entry.symptom("some-keys-dead", { lines: ["KC9"] }), "unknown-line", undefined],
    [swap("U99", "unchanged"), "unknown-place", undefined],
    [{ kind: "piggyback", part: "U99", result: "fixed" }, "unknown-place", undefined],
    [{ kind: "removed", part: "U5", at: "U17", shows: "freed" }, "wrong-place", undefined],
    [{ kind: "event", what: "dropped", part: "U99" }, "unknown-place", undefined],
  ] as readonly (readonly [TypedEntry, string, string | undefined])[])(
    "become a problem at their place: %o",
    (bad, code, hint) => {
      const { problems, boundaries } = read(entry.symptom("no-beep"), bad);
      expect(problems).toMatchObject([{ code, where: { field: "entries[1]" }, severity: "error" }]);
      if (hint !== undefined) expect(problems[0]?.hint).toBe(hint);
      expect(boundaries).toEqual([]);
    },
  );

  it("leave the rest of the log as it is", () => {
    expect(labels(entry.probe("U99.1", "low"), entry.symptom("no-beep"))).toEqual([[noBeep, ofSound]]);
  });
});

describe("events", () => {
  const event = (what: string, more: Readonly<Record<string, unknown>> = {}): TypedEntry => ({
    kind: "event",
    what,
    ...more,
  });
  /** Kinds of events, early ones and dated ones with the epoch that their entry begins. */
  const place = (...entries: TypedEntry[]) => {
    const logged = caseOf(entries);
    const { early, dated, problems } = eventsOfCase(prepared.circuit, logged);
    const begun = readTimeline(space, logged).boundaries.map(({ number }) => number);
    return {
      early: early.map(({ kind }) => kind),
      dated: dated.map(({ number, event: { kind, parts } }) => [kind, parts?.[0], begun.indexOf(number) + 1]),
      problems: problems.map(({ code }) => code),
    };
  };

  it("before anything was seen shape the priors, gates do not count as seeing", () => {
    expect(place(entry.gate, event("dropped"), entry.symptom("no-beep"))).toEqual({
      early: ["dropped"],
      dated: [],
      problems: [],
    });
  });

  it("after something was seen begin an epoch of their own", () => {
    expect(place(entry.symptom("no-beep"), event("static", { part: "u17" }))).toEqual({
      early: [],
      dated: [["static", "U17", 1]],
      problems: [],
    });
  });

  it("are placed as the log says where it does", () => {
    expect(place(entry.symptom("no-beep"), event("dropped", { before: true })).early).toEqual(["dropped"]);
    expect(place(event("dropped", { before: false })).dated).toEqual([["dropped", undefined, 1]]);
  });

  it("after a repair are later, and repairs count as own work", () => {
    expect(place({ kind: "repair", part: "u17" }, event("short-while-probing", { part: "U18" }))).toEqual({
      early: [],
      dated: [
        ["part-replaced", "U17", 1],
        ["short-while-probing", "U18", 2],
      ],
      problems: [],
    });
    expect(place(swap("U5", "changed")).dated).toEqual([["reseated", "U5", 1]]);
    expect(place({ kind: "repair", part: "U17", what: "resoldered" }).dated).toEqual([
      ["soldering", "U17", 1],
    ]);
  });

  it("of an unknown kind or place change nothing", () => {
    expect(place(entry.symptom("no-beep"), event("haunted"))).toEqual({
      early: [],
      dated: [],
      problems: ["unknown-event"],
    });
    expect(read(entry.symptom("no-beep"), event("haunted")).epochs).toHaveLength(1);
    expect(place(entry.symptom("no-beep"), event("static", { part: "U99" })).dated).toEqual([]);
  });
});
