import type { Code6502 } from "./6502-code.js";
import { addToMask } from "./6502-lines.js";
import type { SelfTestPlan } from "./plan.js";

/** What an element does at each word. */
export type Operation = "r0" | "r1" | "w0" | "w1" | "write pattern" | "read pattern";
/** A march element. */
export interface Element {
  readonly isDown: boolean;
  readonly operations: readonly Operation[];
}

/** An element that visits the words upwards. */
export const up = (...operations: readonly Operation[]): Element => ({ isDown: false, operations });
/** An element that visits the words downwards. */
export const down = (...operations: readonly Operation[]): Element => ({ isDown: true, operations });

/** March C-, done once for each background. */
export const marchC: readonly Element[] = [
  up("w0"),
  up("r0", "w1"),
  up("r1", "w0"),
  down("r0", "w1"),
  down("r1", "w0"),
  up("r0"),
];
/** A wait of about so many cycles: A, Y and X count. The innermost loop is 256 rounds of five cycles. */
export function addWait(code: Code6502, cycles: number): void {
  const inner = 256 * 5 + 6;
  const rounds = Math.max(1, Math.round(cycles / inner));
  const outer = Math.ceil(rounds / 256);
  if (outer > 255) throw new RangeError(`a pause of ${cycles} cycles is longer than the loops count`);
  const [most, middle, least] = [code.fresh("wait"), code.fresh("wait"), code.fresh("wait")];
  code.byte("LDA", outer, `wait ${rounds * inner} cycles`);
  code.label(most);
  code.byte("LDY", Math.ceil(rounds / outer) & 0xff);
  code.label(middle);
  code.byte("LDX", 0);
  code.label(least);
  code.plain("DEX");
  code.branch("BNE", least);
  code.plain("DEY");
  code.branch("BNE", middle);
  code.plain("SEC");
  code.byte("SBC", 1);
  code.branch("BNE", most);
}

/** Clock cycles of the retention pause. */
export function waitCycles({ retentionSeconds, clockHertz }: SelfTestPlan): number {
  return retentionSeconds * clockHertz;
}

/**
 * Refresh: page zero holds zeros, then ones, over a pause. If every bit of the bank was lost somewhere, it is not a cell:
 * goes to `refresh_bad`. Anything less is left to the march.
 */
export function addRefreshTest(code: Code6502, plan: SelfTestPlan): void {
  const bitMask = plan.banks[0]?.bitMask ?? 0;
  code.byte("LDX", 0);
  code.plain("TXS");
  for (const value of [0, 0xff]) {
    const [fill, look, good] = [code.fresh("fill"), code.fresh("look"), code.fresh("held")];
    code.byte("LDX", 0, `refresh: hold ${value === 0 ? "zeros" : "ones"}`);
    code.byte("LDA", value);
    code.label(fill);
    code.at("STA", 0, "x");
    code.plain("INX");
    code.branch("BNE", fill);
    addWait(code, waitCycles(plan));
    code.plain("TSX", "TXA", "TAY");
    code.byte("LDX", 0);
    code.label(look);
    code.at("LDA", 0, "x");
    if (value !== 0) code.byte("EOR", value);
    code.branch("BEQ", good);
    code.at("ORA", { label: "same" }, "y");
    code.plain("TAY");
    code.label(good);
    code.plain("INX");
    code.branch("BNE", look);
    code.plain("TYA", "TAX", "TXS");
  }
  code.plain("TSX", "TXA");
  if (bitMask !== 0xff) code.byte("AND", bitMask);
  code.byte("CMP", bitMask);
  code.branch("BEQ", "refresh_bad");
  code.byte("LDX", 0);
  code.plain("TXS");
}

/**
 * Page zero by straight code: March C- with registers only. X is the address, Y the mask of wrong bits. What fails here is
 * reported at once; else variables may stand in page zero.
 */
export function addPageZero(code: Code6502, plan: SelfTestPlan): void {
  const bitMask = plan.banks[0]?.bitMask ?? 0;
  code.label("again", "page zero, in registers only");
  code.byte("LDY", 0);
  for (const { isDown, operations } of marchC) {
    const [loop, next, bad] = [code.fresh("zero"), code.fresh("zero_next"), code.fresh("zero_bad")];
    const writes = operations.some((operation) => operation.startsWith("w"));
    const resume = writes ? code.fresh("zero_write") : next;
    code.byte("LDX", isDown ? 0xff : 0, operations.join(","));
    code.label(loop);
    for (const operation of operations) {
      const value = operation.endsWith("1") ? 0xff : 0;
      if (operation.startsWith("r")) {
        code.at("LDA", 0, "x");
        if (value !== 0) code.byte("EOR", value);
        if (bitMask !== 0xff) code.byte("AND", bitMask);
        code.branch("BNE", bad);
      } else {
        code.label(resume);
        code.byte("LDA", value);
        code.at("STA", 0, "x");
      }
    }
    const done = code.fresh("zero_done");
    code.label(next);
    code.plain(isDown ? "DEX" : "INX");
    if (isDown) code.byte("CPX", 0xff);
    code.branch("BNE", loop);
    if (!operations.some((operation) => operation.startsWith("r"))) continue;
    code.branch("BEQ", done, "always");
    code.label(bad);
    code.at("ORA", { label: "same" }, "y");
    code.plain("TAY");
    code.jump(resume);
    code.label(done);
  }
  const good = code.fresh("zero_good");
  code.plain("TYA");
  code.branch("BEQ", good);
  addToMask(code);
  code.jump("report");
  code.label(good);
}
