import { describe, expect, it } from "vitest";
import { bedOf, casesOf, judge } from "../../bench/self-test/cases.js";
import { emulateSelfTest } from "../../src/core/memory/self-test/emulate/emulate.js";
import { parseFault } from "../../src/core/memory/self-test/emulate/fault-text.js";
import { selectLine } from "../../src/core/memory/self-test/emulate/select-line.js";

/** Every so many-th case; it shares no factor with the numbers of chips, cells and kinds. */
const every = { "pellow-16": 401, merrow: 601 } as const;

describe.each(["pellow-16", "merrow"] as const)("the self-test of %s", (board) => {
  const bed = bedOf(board);
  const { loaded, plan } = bed;

  it("names what is wrong, and says good of good memory", () => {
    const cases = casesOf(bed);
    const first = cases.slice(0, 6);
    const some = cases.filter(
      ({ group }, k) => k % every[board] === 7 && !["WDF", "DRDF", "CFwd", "CFdrd"].includes(group),
    );
    for (const each of [...first, ...some])
      expect(judge(bed, each), `${each.group} ${each.title}`).toMatchObject({
        // A wrong bit in the very code that says so may also silence it.
        outcome: each.group === "wrong bit in the ROM" ? expect.stringMatching(/named|silent/) : "named",
      });
  });

  it("reads of its own select line, and nothing else, make it active", () => {
    const isActive = selectLine(loaded.board, loaded.types, plan.bus);
    const io = plan.bus.space === "io";
    expect(isActive(io ? "io-read" : "memory-read", plan.bus.address)).toBe(true);
    for (let address = plan.rom.start; address < plan.rom.start + plan.rom.bytes; address += 1)
      expect(isActive("fetch", address)).toBe(false);
    for (const { from, to } of plan.banks.flatMap(({ array }) => array.ranges))
      for (let address = from; address <= to; address += 37) {
        expect(isActive("memory-read", address)).toBe(false);
        expect(isActive("memory-write", address)).toBe(false);
        if (io) expect(isActive("refresh", address)).toBe(false);
      }
  });

  it("ends with a reason at an undefined opcode", () => {
    const image = bed.image.slice();
    const opcode = plan.processor.instructionSet === "z80" ? [0xed, 0x00] : [0x02];
    const start =
      plan.processor.instructionSet === "z80" ? 0 : (image.at(-4) ?? 0) | ((image.at(-3) ?? 0) << 8);
    image.set(opcode, start - plan.rom.start);
    const { ended, reason, verdicts } = emulateSelfTest(loaded, plan, image);
    expect([ended, verdicts]).toEqual(["stopped", []]);
    expect(reason).toMatch(/undefined opcode/);
  });
});

describe("a fault in text", () => {
  const { plan } = bedOf("pellow-16");

  it.each([
    ["U17:stuck-0", { kind: "output", part: "U17", value: 0 }],
    [
      "U18:stuck-1@1A2B",
      { kind: "cell", part: "U18", bit: 1, fault: { kind: "SAF", cell: 0x1a2b, value: 1 } },
    ],
    [
      "U19:CFid-1-0@$2000,0x2A00",
      {
        kind: "cell",
        part: "U19",
        bit: 2,
        fault: { kind: "CFid", aggressor: 0x2000, victim: 0x2a00, to: 1, forces: 0 },
      },
    ],
    [
      "U29.4:open",
      { kind: "address-line", bank: 0, line: { kind: "stuck", line: 0, value: 1, half: "both" } },
    ],
    ["U31.5:stuck-0", { kind: "data-line", bank: 0, bit: 1, value: 0 }],
    ["U15:flip@F123.4", { kind: "rom-bit", address: 0xf123, bit: 4 }],
    ["memory:dead", { kind: "all-dead" }],
  ])("is read: %s", (text, fault) => {
    expect(parseFault(text, plan)).toEqual({ value: fault, problems: [] });
  });

  it.each([
    "",
    "U17",
    "U99:stuck-0",
    "U17:sticky",
    "U17:stuck-0@4000",
    "U17:CFid-1@0000",
    "U15:flip@0123.4",
    "memory:asleep",
    "U17:AF-D-and@0000",
  ])("is refused in one sentence: '%s'", (text) => {
    const { value, problems } = parseFault(text, plan);
    expect(value).toBeUndefined();
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatchObject({ code: "fault-unreadable", severity: "error" });
  });
});
