import type { AddressRange } from "../map/memory-map.js";
import type { Code6502 } from "./6502-code.js";
import type { SelfTestPlan } from "./plan.js";

/** A constant with bit 6 set, for the overflow flag. */
export const flagByte = "flag_byte";

/** Or-s A into the mask in S; X is lost. */
export function addToMask(code: Code6502): void {
  code.plain("TSX");
  code.at("ORA", { label: "same" }, "x");
  code.plain("TAX", "TXS");
}

/** Empties the mask in S. */
export function clearMask(code: Code6502): void {
  code.byte("LDX", 0);
  code.plain("TXS");
}

/**
 * Data lines: a one and a zero walk through the first and the last word. A bit counts as bad if it is wrong in both, so
 * that a bad cell is not taken for a line. Falls through if all is well; goes to `no_answer` if all bits are bad.
 */
export function addDataLines(code: Code6502, plan: SelfTestPlan): void {
  const bitMask = plan.banks[0]?.bitMask ?? 0;
  const { from, to } = ends(plan);
  code.label("data_lines", "one and zero walk through two words");
  clearMask(code);
  code.label("data_again");
  for (const [at, index, keep] of [
    [from, "y", "TAY"],
    [to, "x", "TAX"],
  ] as const) {
    code.byte(index === "y" ? "LDY" : "LDX", 0, `wrong bits of this word in ${index}`);
    for (const pattern of walkingBytes) {
      code.byte("LDA", pattern);
      code.at("STA", at);
      code.at("EOR", at);
      code.at("ORA", { label: "same" }, index);
      code.plain(keep);
    }
  }
  code.plain("TYA");
  code.at("AND", { label: "same" }, "x", "wrong in both");
  if (bitMask !== 0xff) code.byte("AND", bitMask);
  addToMask(code);
  code.plain("TSX", "TXA");
  const wrong = code.fresh("data_wrong");
  code.branch("BNE", wrong);
  code.jump("address_lines");
  code.label(wrong);
  code.byte("CMP", bitMask);
  code.branch("BNE", "data_report");
  code.jump("no_answer");
}

/** Patterns of the walk through a word. */
const walkingBytes: readonly number[] = Array.from({ length: 8 }, (_, bit) => [
  1 << bit,
  ~(1 << bit) & 0xff,
]).flat();

/**
 * Address lines: for each, zeros at one address and ones at the address that differs in this line only; if the first then
 * holds ones in every bit, the two are the same. Done from the lowest address and from the highest, for lines shorted to
 * each other. A chip whose own pin is bad spoils one bit only, and is left to the march. In S a mask of eight lines.
 */
export function addAddressLines(code: Code6502, plan: SelfTestPlan, part: "low" | "high"): void {
  for (const { first, second, line } of pairs(plan)) {
    if (line < 8 !== (part === "low")) continue;
    const good = code.fresh("line_good");
    code.byte("LDA", 0, `line ${line}`);
    code.at("STA", first);
    code.byte("LDA", 0xff);
    code.at("STA", second);
    code.at("LDA", first);
    const bitMask = plan.banks[0]?.bitMask ?? 0;
    if (bitMask !== 0xff) code.byte("AND", bitMask);
    code.byte("CMP", bitMask);
    code.branch("BNE", good);
    code.byte("LDA", 1 << (line & 7));
    addToMask(code);
    code.label(good);
  }
}

function pairs(plan: SelfTestPlan): { first: number; second: number; line: number }[] {
  const ranges = plan.banks[0]?.array.ranges ?? [];
  const { from, to } = ends(plan);
  const isIn = (address: number): boolean =>
    ranges.some((range) => address >= range.from && address <= range.to);
  const lineMask = plan.banks[0]?.array.lines.reduce(
    (mask, { way }) => mask | bitOf(way.row?.bit) | bitOf(way.column?.bit),
    0,
  );
  return Array.from({ length: 16 }, (_, line) => line)
    .filter((line) => (((lineMask ?? 0) >> line) & 1) === 1)
    .flatMap((line) => [from, to].map((first) => ({ first, second: first ^ (1 << line), line })))
    .filter(({ second }) => isIn(second));
}

function bitOf(line: number | undefined): number {
  return line === undefined ? 0 : 1 << line;
}

/** First and last address of the bank's first unbroken piece. */
function ends(plan: SelfTestPlan): AddressRange {
  const [range] = plan.banks[0]?.array.ranges ?? [];
  if (range === undefined) throw new RangeError("a bank without addresses");
  return range;
}
