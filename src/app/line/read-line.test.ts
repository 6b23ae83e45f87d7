import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { loadBoard } from "../../../test/boards/support.js";
import { loadFindModel } from "../../../test/support/board-effects.js";
import { readPartLibrary } from "../../../test/support/part-types.js";
import { entrySchema, type Instrument } from "../../core/find/case/case.js";
import { buildCircuit } from "../../core/find/settle/build.js";
import { symptomsOfModel } from "../list-symptoms.js";
import type { LineContext } from "./context.js";
import { readLine } from "./read-line.js";

const board = loadBoard("pellow-16");
const symptoms = symptomsOfModel(loadFindModel(), board);
const circuit = buildCircuit(board, readPartLibrary());
const context = (...instruments: Instrument[]): LineContext => ({ circuit, symptoms, instruments });
const usual = context("multimeter", "logic-probe");

function entryOf(line: string, from: LineContext = usual): unknown {
  const meaning = readLine(line, from);
  return meaning.kind === "entry" ? meaning.entry : meaning;
}

const probe = (at: string, shows: string, more: object = {}) => ({
  kind: "reading",
  at,
  with: "logic-probe",
  shows,
  ...more,
});
const meter = (at: string, more: object) => ({ kind: "reading", at, with: "multimeter", ...more });

describe("a reading typed at the bench", () => {
  it.each([
    ["U12.6 pulsing", probe("U12.6", "pulsing")],
    ["u12.6 Pulses", probe("U12.6", "pulsing")],
    ["U12 pin 6 is low", probe("U12.6", "low")],
    ["U5.SYNC high", probe("U5.7", "high")],
    ["/CASGATE low", probe("net:/CASGATE", "low")],
    ["net:/CASGATE low", probe("net:/CASGATE", "low")],
    ["FIELD RAW floating", probe("net:FIELD RAW", "floating")],
    ["U12.6 low warm", probe("U12.6", "low", { when: "warm" })],
    ["U12.6 low after 12 min", probe("U12.6", "low", { minutesSincePowerOn: 12 })],
    ["U12.6 low with scope", probe("U12.6", "low", { with: "oscilloscope" })],
    ["U12.6 between levels", meter("U12.6", { shows: "between-levels" })],
    ["U12.6 different", probe("U12.6", "different", { with: "twin" })],
    ["U5.37 1.02 MHz", { kind: "reading", at: "U5.37", with: "oscilloscope", hertz: 1.02e6 }],
    ["+5V 4.62", meter("rail:+5", { volts: 4.62 })],
    ["+5 4,62V", meter("rail:+5", { volts: 4.62 })],
    ["rail:-5V -100 mV", meter("rail:-5", { volts: -0.1 })],
    ["+5 OUT 5.1", meter("rail:+5 OUT", { volts: 5.1 })],
    ["+12V ripple 0.3 V", { kind: "reading", at: "rail:+12", with: "oscilloscope", rippleVolts: 0.3 }],
    ["+12V rippled", { kind: "reading", at: "rail:+12", with: "oscilloscope", shows: "rippled" }],
    ["+12V absent", meter("rail:+12", { shows: "absent" })],
    ["+12V too low", meter("rail:+12", { shows: "too-low" })],
    ["+12V short", meter("rail:+12", { shows: "short", when: "unpowered" })],
    ["+12V 2.2 ohm", meter("rail:+12", { ohms: 2.2, when: "unpowered" })],
    ["U12.14 4.9", meter("U12.14", { volts: 4.9 })],
    ["U4.7-U9.3 rings", meter("U4.7-U9.3", { shows: "rings", when: "unpowered" })],
    ["U4.7-U9.3 0.4", meter("U4.7-U9.3", { ohms: 0.4, when: "unpowered" })],
    ["supply 1.4 A", meter("supply", { amperes: 1.4 })],
    ["supply 850 mA", meter("supply", { amperes: 0.85 })],
    ["supply high", meter("supply", { shows: "high" })],
    ["U7 hot", { kind: "reading", at: "U7", with: "finger", shows: "hot" }],
    ["U7 warm", { kind: "reading", at: "U7", with: "finger", shows: "normal" }],
    ["U7 81 C", { kind: "reading", at: "U7", with: "thermometer", degreesCelsius: 81 }],
    ["C18 burnt", { kind: "reading", at: "C18", with: "eye", shows: "damage" }],
    ["C18 shorted", meter("C18", { shows: "short", when: "unpowered" })],
    ["U15 passes", { kind: "reading", at: "U15", with: "chip-tester", shows: "pass" }],
    ["U17 named", { kind: "reading", at: "U17", with: "test-program", shows: "named" }],
    ["+12V drop C18", meter("rail:+12", { shows: "C18" })],
    ["+12V lowest at c18", meter("rail:+12", { shows: "C18" })],
    ["+12V drop nothing", meter("rail:+12", { shows: "nothing" })],
    ["self-test good", { kind: "memory-test", by: "self-test", verdict: "good" }],
    [
      "self-test u17",
      {
        kind: "memory-test",
        by: "self-test",
        verdict: "causes",
        causes: [{ share: 1, parts: [{ part: "U17" }] }],
      },
    ],
    ["board finger C18", { kind: "reading", at: "board", with: "finger", shows: "C18" }],
    ["board eye nothing", { kind: "reading", at: "board", with: "eye", shows: "nothing", when: "unpowered" }],
  ])("%s", (line, expected) => {
    expect(entryOf(line)).toEqual(expected);
  });

  it("is taken to be made with what is at hand", () => {
    expect(entryOf("U12.6 low", context("oscilloscope"))).toMatchObject({ with: "oscilloscope" });
    expect(entryOf("U12.6 low", context("multimeter"))).toMatchObject({ with: "multimeter" });
    expect(entryOf("U12.6 pulsing", context("multimeter"))).toMatchObject({ with: "logic-probe" });
  });
});

describe("work and everything else", () => {
  it.each([
    ["U3 swapped no change", { kind: "swap", part: "U3", result: "unchanged" }],
    ["U3 swapped, fixed", { kind: "swap", part: "U3", result: "fixed" }],
    ["u3 replaced changed", { kind: "repair", part: "U3", what: "replaced", result: "changed" }],
    ["U3 resoldered", { kind: "repair", part: "U3", what: "resoldered" }],
    ["U5 reseated unchanged", { kind: "reseat", part: "U5", result: "unchanged" }],
    ["U17 piggybacked it works", { kind: "piggyback", part: "U17", result: "fixed" }],
    ["U16 removed AB3 freed", { kind: "removed", part: "U16", at: "net:AB3", shows: "freed" }],
    ["U9.2 lifted, AB3 no change", { kind: "removed", part: "U9.2", at: "net:AB3", shows: "unchanged" }],
    ["flexed appears", { kind: "flexed", result: "appears" }],
    ["U5 cooled vanishes", { kind: "cooled", part: "U5", result: "vanishes" }],
    ["warmed no change", { kind: "warmed", result: "unchanged" }],
    ["other supply fixed", { kind: "other-supply", result: "fixed" }],
    ["gate passed", { kind: "gate", id: "supply", state: "passed" }],
    ["gate supply failed", { kind: "gate", id: "supply", state: "failed" }],
    ["symptom no-beep", { kind: "symptom", what: "no-beep" }],
    ["no-beep", { kind: "symptom", what: "no-beep" }],
    ["characters A @", { kind: "characters", right: "A", wrong: "@" }],
    ["event dropped", { kind: "event", what: "dropped" }],
    [
      "event short-while-probing U12 before",
      { kind: "event", what: "short-while-probing", part: "U12", before: true },
    ],
    ["note smells of  fish", { kind: "note", text: "smells of  fish" }],
  ])("%s", (line, expected) => {
    expect(entryOf(line)).toEqual(expected);
  });

  it.each([
    ["undo", { name: "undo" }],
    ["WHY U12", { name: "why", part: "U12" }],
    ["save my log.json", { name: "save", file: "my log.json", overwrite: false }],
    ["overwrite a.json", { name: "save", file: "a.json", overwrite: true }],
    ["strike 3", { name: "strike", entry: 3 }],
    ["q", { name: "quit" }],
    ["?", { name: "help" }],
  ])("%s is a command", (line, command) => {
    expect(readLine(line, usual)).toEqual({ kind: "command", command });
  });
});

describe("a line that is not understood", () => {
  it.each([
    ["", /empty/, /help/],
    ["U99.3 low", /no part, pin or net called 'U99'/, /Did you mean/],
    ["U12.66 low", /no pin '66'/, /1 to 14/],
    ["/CASGAT low", /called '\/CASGAT'/, /Did you mean \/CASGATE/],
    ["suspcts", /called 'suspcts'/, /Did you mean 'suspects'/],
    ["symptom no-bep", /no symptom called 'no-bep'/, /Did you mean 'no-beep'/],
    ["event droped", /no event called 'droped'/, /Did you mean 'dropped'/],
    ["U12.6", /what U12\.6 shows is missing/, /For example/],
    ["U12.6 pulsin", /'pulsin' is nothing that a reading shows/, /Did you mean 'pulsing'/],
    ["+5V 4.62 vlt", /'vlt' is no unit/, /Did you mean 'volt'/],
    ["+5V 4.62 q", /'q' is no unit/, /Units:|Did you mean/],
    ["+5V 4.6 5.1", /two numbers/, /$/],
    ["U12.6 low high", /cannot show both/, /$/],
    ["U12.6 low 4 V", /either a number or 'low'/, /two readings/],
    ["U7 12", /needs its unit/, /U7 70 C/],
    ["+5V 5000", /5000 V is not possible/, /$/],
    ["U4.7-U9.3 -3", /-3 ohm is not possible/, /$/],
    ["U12.6 low after 999999 min", /999999 minutes is not possible/, /$/],
    ["+5V ripple 3 ohm", /ripple is measured in volts/, /$/],
    ["U12.6 swapped fixed", /only a part can be swapped/, /For example/],
    ["U3 swapped", /what came of it is missing/, /fixed, changed or no change/],
    ["U3 swapped sideways", /'sideways' is nothing/, /fixed, changed/],
    ["U16 removed", /did to which line is missing/, /removed AB3 freed/],
    ["U16 removed AB3 sang", /what the line AB3 did is missing/, /freed/],
    ["flexed", /is missing/, /appears, vanishes/],
    ["other supply", /is missing/, /fixed/],
    ["gate", /passed or failed/, /gate passed/],
    ["characters A", /wrong/, /$/],
    ["board low", /by eye or by finger/, /board eye C18/],
    ["board eye U99", /U99/, /Did you mean|For example/],
    ["why", /needs a part/, /why U12/],
    ["strike x", /needs the number/, /log/],
    ["save", /name of a file/, /save my-machine/],
    ["x".repeat(1001), /longer than 1000/, /$/],
  ])("%s", (line, message, hint) => {
    const meaning = readLine(line, usual);
    expect(meaning).toMatchObject({ kind: "misread", message: expect.stringMatching(message) });
    if (meaning.kind === "misread") expect(meaning.hint ?? "").toMatch(hint);
  });
});

describe("any line at all", () => {
  const words = fc.constantFrom(
    ...[
      "U12.6",
      "U12",
      "U12.",
      ".6",
      "+5V",
      "rail:+5",
      "net:AB3",
      "AB3",
      "U4.7-U9.3",
      "supply",
      "board",
      "pin",
    ],
    ...[
      "low",
      "pulsing",
      "short",
      "4.62",
      "-",
      "1e9",
      "V",
      "ohm",
      "ripple",
      "with",
      "scope",
      "after",
      "12",
      "min",
    ],
    ...[
      "swapped",
      "removed",
      "no",
      "change",
      "fixed",
      "flexed",
      "gate",
      "event",
      "note",
      "constructor",
      "__proto__",
    ],
    ...["toString", "eye", "C18", "symptom", "why", "save", "characters", "é", "\u0000", "💡"],
  );
  it("becomes an entry of the log's form, a command, or a sentence", () => {
    const lines = fc.oneof(
      fc.string({ unit: "binary", maxLength: 200 }),
      fc.array(words, { maxLength: 8 }).map((list) => list.join(" ")),
    );
    fc.assert(
      fc.property(lines, (line) => {
        const meaning = readLine(line, usual);
        if (meaning.kind === "entry") expect(entrySchema.safeParse(meaning.entry).success).toBe(true);
        if (meaning.kind === "misread") expect(meaning.message).not.toBe("");
      }),
      { seed: 1981, numRuns: 4000 },
    );
  });
});
