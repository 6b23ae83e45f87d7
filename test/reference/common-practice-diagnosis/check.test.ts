import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { z } from "zod";
import { findFaults } from "../../../src/core/find/find.js";
import type { PairLimits } from "../../../src/core/find/reason/pairs.js";
import type { FindResult } from "../../../src/core/find/result/result.js";
import { caseOf, entry, preparedBoard, type TypedEntry } from "../../support/prepared-board.js";

const entries = z.array(z.looseObject({ kind: z.string() }));
const refs = z.array(z.string()).default([]);
const data = z
  .strictObject({
    tag: z.literal("common practice, no source"),
    facts: z.array(
      z.strictObject({
        id: z.string(),
        fact: z.string(),
        board: z.enum(["pellow-16", "merrow"]),
        entries,
        further: entries.default([]),
        memory: refs,
        path: refs,
        cleared: refs,
        part: z.string().default(""),
        groups: z.number().default(0),
      }),
    ),
  })
  .parse(JSON.parse(readFileSync(new URL("./data.json", import.meta.url), "utf8")));

type Fact = (typeof data.facts)[number];

function factNamed(id: string): Fact {
  const found = data.facts.find((fact) => fact.id === id);
  if (found === undefined) throw new RangeError(`data.json has no fact ${id}`);
  return found;
}

const find = (board: Fact["board"], log: readonly TypedEntry[], pairLimits?: PairLimits): FindResult =>
  findFaults(preparedBoard(board), caseOf(log), { steps: 0, ...(pairLimits && { pairLimits }) });

/** Share of all that is believed of parts that the chosen suspects or modes hold. */
function shareOf(result: FindResult, chosen: (part: string) => boolean): number {
  const all = result.suspects.reduce((sum, { probability }) => sum + probability, 0);
  const own = result.suspects.filter(({ part }) => chosen(part));
  return own.reduce((sum, { probability }) => sum + probability, 0) / all;
}

const checks: Readonly<Record<string, (fact: Fact) => void>> = {
  "uniform-picture": ({ board, entries: log, memory, path, groups }) => {
    const leading = new Set(
      find(board, log)
        .groups.slice(0, groups)
        .flatMap(({ parts }) => parts),
    );
    expect(memory.filter((ref) => !leading.has(ref))).toEqual([]);
    expect(path.filter((ref) => !leading.has(ref))).toEqual([]);
  },

  "missing-negative-rail": ({ board, entries: log, memory }) => {
    const { suspects, warnings } = find(board, log);
    expect(suspects[0]?.section).toMatch(/supply|memory/);
    // The chips are explained by their rail: less suspect than before it was measured.
    const before = find(board, log.slice(0, 2));
    const after = find(board, log);
    const isMemory = (part: string): boolean => memory.includes(part);
    expect(shareOf(after, isMemory)).toBeLessThan(shareOf(before, isMemory));
    expect(warnings.some((text) => /may be damaged/.test(text))).toBe(true);
  },

  "shared-cause": ({ board, entries: log, memory }) => {
    const result = find(board, log);
    const several = result.pairs.leading.filter(({ parts }) => parts.every((part) => memory.includes(part)));
    const most = Math.max(0, ...several.map(({ probability }) => probability));
    expect(memory).not.toContain(result.suspects[0]?.part);
    expect(result.suspects[0]?.probability).toBeGreaterThan(4 * most);
  },

  "free-tests": ({ board, entries: log, further, cleared }) => {
    const isCleared = (part: string): boolean => cleared.includes(part);
    const before = shareOf(find(board, log), isCleared);
    const after = shareOf(find(board, [...log, ...further]), isCleared);
    expect(after).toBeLessThan(before / 3);
  },

  "fails-when-warm": ({ board, entries: log }) => {
    const { suspects } = find(board, log);
    const modes = suspects.flatMap((suspect) => suspect.modes);
    const all = modes.reduce((sum, { probability }) => sum + probability, 0);
    const warm = modes.filter(({ manifestation }) => manifestation === "warm-only");
    expect(warm.reduce((sum, { probability }) => sum + probability, 0) / all).toBeGreaterThan(0.8);
    expect(suspects[0]?.modes[0]).toMatchObject({ mode: "slow", manifestation: "warm-only" });
  },

  flexing: ({ board, entries: log }) => {
    const modes = find(board, log).suspects.flatMap((suspect) => suspect.modes);
    const contact = modes.filter(({ site, mode }) => site !== "part" || mode.startsWith("contact"));
    const sum = (list: typeof modes): number =>
      list.reduce((total, { probability }) => total + probability, 0);
    expect(sum(contact) / sum(modes)).toBeGreaterThan(0.7);
  },

  "touched-last": ({ board, entries: log, part }) => {
    const touched = find(board, log);
    const untouched = find(board, log.slice(1));
    expect(touched.suspects[0]?.part).toBe(part);
    expect(shareOf(untouched, (ref) => ref === part)).toBeLessThan(0.1);
  },
};

describe("common practice, no source", () => {
  it.each(data.facts.map((fact) => [fact.id, fact] as const))("%s", (id, fact) => {
    const check = checks[id];
    if (check === undefined) throw new RangeError(`nothing checks the fact ${id}`);
    check(fact);
  });

  it("checks only what data.json states", () => {
    expect(Object.keys(checks).map((id) => factNamed(id).id)).toEqual(Object.keys(checks));
  });
});

describe("a leg that is connected to nothing", () => {
  const board = preparedBoard("pellow-16");
  const { wiring } = board.circuit;
  const open = wiring.pins.flatMap((pin, index) => (pin.net < 0 ? [index] : []));
  const label = (pin: number): string =>
    `${wiring.parts[wiring.pins[pin]?.part ?? -1]?.part.ref}.${wiring.pins[pin]?.number}`;

  it("has no fault of its own: no cut, no bridge, no drive", () => {
    expect(open.length).toBeGreaterThan(20);
    for (const pin of open) {
      const [ref = "", number = ""] = label(pin).split(".");
      expect(board.list.faults.some(({ signs }) => signs.cutPin === pin)).toBe(false);
      const named = board.list.faults.filter(({ id }) => id.startsWith(`${ref}:`));
      const own = named.filter(({ detail, site }) => site === "bridge" && detail.split("-").includes(number));
      expect(own, label(pin)).toEqual([]);
    }
  });

  it.each([
    ["logic-probe", "floating"],
    ["logic-probe", "pulsing"],
    ["oscilloscope", "between-levels"],
    ["multimeter", "low"],
  ] as const)("explains nothing, whatever is read there with %s (%s)", (instrument, shows) => {
    const log: TypedEntry[] = [entry.symptom("random-characters")];
    // How many pairs are looked at for each entry depends on the number of entries; with so few it does not.
    const few: PairLimits = { candidates: 2, settle: 20 };
    const before = find("pellow-16", log, few);
    const reading = { kind: "reading", at: label(open[0] ?? -1), with: instrument, shows };
    const after = find("pellow-16", [...log, reading], few);
    expect(after.problems).toEqual([]);
    // Every suspect changes by the same factor, that of "not in this model".
    const shares = (result: FindResult): Map<string, number> =>
      new Map(result.suspects.map(({ part, probability }) => [part, probability / (1 - result.notInModel)]));
    const [earlier, later] = [shares(before), shares(after)];
    expect([...later.keys()].sort()).toEqual([...earlier.keys()].sort());
    for (const [part, share] of earlier) expect(later.get(part), part).toBeCloseTo(share, 9);
  });

  it("takes no event: what befell it befell the part", () => {
    const event: TypedEntry = { kind: "event", what: "short-while-probing", part: label(open[0] ?? -1) };
    const log: TypedEntry[] = [entry.symptom("random-characters")];
    const after = find("pellow-16", [...log, event]);
    expect(after.problems).toMatchObject([{ code: "unknown-place" }]);
    expect(after.suspects).toEqual(find("pellow-16", log).suspects);
  });
});
