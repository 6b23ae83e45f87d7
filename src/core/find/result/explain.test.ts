import { describe, expect, it } from "vitest";
import { caseOf, entry, preparedBoard, type TypedEntry } from "../../../../test/support/prepared-board.js";
import { findFaults } from "../find.js";
import { inWords } from "./explain.js";
import type { EvidenceWeight, FindResult } from "./result.js";

const prepared = preparedBoard("pellow-16");
const find = (...entries: TypedEntry[]): FindResult => findFaults(prepared, caseOf(entries), { steps: 0 });
const weightOf = (result: FindResult, part: string, number: number): EvidenceWeight => {
  const found = result.suspects
    .find((suspect) => suspect.part === part)
    ?.evidence.find((one) => one.entry === number);
  if (found === undefined) throw new Error(`${part} has no evidence from entry ${number}`);
  return found;
};

const garbage = entry.symptom("random-characters");
const stuck: TypedEntry[] = [
  garbage,
  entry.probe("U20.14", "low"),
  { kind: "reading", at: "U20.14", with: "oscilloscope", shows: "low" },
  entry.probe("U21.14", "pulsing"),
];

describe("the evidence of a suspect", () => {
  const result = find(...stuck);

  it("has an entry that it alone explains speak strongly for it", () => {
    expect(result.suspects[0]?.part).toBe("U20");
    const { bits, says, label } = weightOf(result, "U20", 2);
    expect(bits).toBeGreaterThan(2);
    expect(label).toBe("U20.14 low (logic-probe)");
    expect(says).toMatch(/^speaks (clearly|strongly) for it \(\d+(\.\d+)? times as likely with it\)$/);
  });

  it("has the same entry speak against those who cannot explain it", () => {
    expect(weightOf(result, "U15", 2).bits).toBeLessThan(-1);
    expect(weightOf(result, "U15", 2).says).toMatch(/^speaks (clearly|strongly) against it/);
  });

  it("lists every entry once, heaviest first", () => {
    for (const { evidence } of result.suspects.slice(0, 5)) {
      expect(evidence.map((one) => one.entry).sort()).toEqual([1, 2, 3, 4]);
      const sizes = evidence.map((one) => Math.abs(one.bits));
      expect(sizes).toEqual([...sizes].sort((a, b) => b - a));
    }
  });

  it("sums up a swap after which nothing changed as one entry against the part", () => {
    const swapped = find(garbage, entry.symptom("no-beep"), {
      kind: "swap",
      part: "U15",
      result: "unchanged",
    });
    const { bits, label } = weightOf(swapped, "U15", 3);
    expect(label).toBe("U15 swapped: unchanged");
    expect(bits).toBeLessThan(-1);
    expect(weightOf(swapped, "U5", 3).bits).toBeGreaterThan(0);
  });

  it("is kept for what a repair took away: it explained what was seen before", () => {
    const repaired = find(
      ...stuck,
      { kind: "repair", part: "U20", result: "changed" },
      entry.symptom("picture-normal"),
      entry.symptom("some-keys-dead", { lines: ["KC5"] }),
    );
    const lead = repaired.suspects[0];
    expect(lead?.section).toBe("keyboard");
    expect(weightOf(repaired, lead?.part ?? "", 7).bits).toBeGreaterThan(1);
    // The stuck line was the other fault's doing; it says nothing of the keys.
    expect(Math.abs(weightOf(repaired, lead?.part ?? "", 2).bits)).toBeLessThan(1);
  });
});

describe("a contradiction", () => {
  it("is none in a log that hangs together", () => {
    expect(find(garbage).contradiction).toBeNull();
    expect(find(...stuck).contradiction).toBeNull();
    expect(find().contradiction).toBeNull();
  });

  it("is none where a second fault explains what the first could not", () => {
    const stacked = find(
      ...stuck,
      { kind: "repair", part: "U20", result: "changed" },
      entry.symptom("picture-normal"),
      entry.symptom("some-keys-dead", { lines: ["KC5"] }),
    );
    expect(stacked.contradiction).toBeNull();
  });

  it("is none after a swap that cured the machine", () => {
    expect(find(...stuck, { kind: "repair", part: "U20", result: "fixed" }).contradiction).toBeNull();
  });

  it("names the reading that fits the rest least", () => {
    const good = [1, 2, 3].map(() => entry.volts("rail:-5", -5));
    const { contradiction } = find(
      entry.volts("rail:+5", 5.01),
      ...good,
      entry.volts("rail:-5", -0.05),
      entry.symptom("picture-normal"),
    );
    expect(contradiction?.entry).toBe(5);
    expect(contradiction?.label).toBe("rail:-5 -0.05 V (-5 V wanted)");
    expect(contradiction?.says).toMatch(/entry 5 .* Take that reading again/);
  });

  it("is none where something that comes and goes explains both readings", () => {
    const { contradiction, suspects } = find(entry.volts("U17.1", -5), entry.volts("U17.1", -0.05));
    expect(contradiction).toBeNull();
    expect(suspects[0]?.modes[0]?.manifestation).toBe("intermittent");
  });
});

describe("a weight in words", () => {
  it.each([
    [0, "says nothing"],
    [0.19, "says nothing"],
    [0.5, "speaks weakly for it (1.4 times as likely with it)"],
    [-0.5, "speaks weakly against it (1.4 times as likely without it)"],
    [2, "speaks clearly for it (4 times as likely with it)"],
    [-5, "speaks strongly against it (32 times as likely without it)"],
  ])("%d bits: %s", (bits, words) => {
    expect(inWords(bits)).toBe(words);
  });
});
