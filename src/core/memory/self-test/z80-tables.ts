import type { AddressRange } from "../map/memory-map.js";
import { signalByte, type Verdict } from "./beacon.js";
import type { SelfTestPlan, TestBank } from "./plan.js";
import { meaningOf } from "./verdict-parts.js";
import { linesOf, verdictsOf } from "./verdicts.js";
import type { CodeZ80 } from "./z80-code.js";

/** Places in a row of the table of ranges, from IX. */
export const field = {
  firstPage: 0,
  pages: 1,
  bitMask: 2,
  bank: 3,
  noAnswer: 4,
  chipFirst: 5,
  chipStep: 6,
  lineFirst: 7,
  lineStep: 8,
  probes: 9,
  pairs: 17,
  lines: 19,
  wordWhenGood: 21,
  isLast: 22,
  endPage: 23,
} as const;

/** Bytes of a row. */
export const rowBytes = 24;

/** Addresses of a range at which data lines are walked. */
export const probesPerRange = 4;

interface Row {
  readonly bank: TestBank;
  readonly range: AddressRange;
  readonly lineMask: number;
}

/** The tables behind the code: what is tested, and the words for the screen. */
export function addTables(code: CodeZ80, plan: SelfTestPlan): void {
  const rows = plan.banks.flatMap((bank) =>
    bank.ranges.map((range): Row => ({ bank, range, lineMask: linesWithin(range) })),
  );
  code.label("ranges", "a row for each tested range");
  for (const [k, row] of rows.entries()) addRow(code, row, k, rows);
  for (const [k, { range, lineMask }] of rows.entries()) {
    code.label(
      `pairs_${k}`,
      "two addresses that differ in one line: high and low byte of each, then the line",
    );
    for (const line of linesOf(lineMask))
      for (const at of pairStarts(range, line)) {
        const other = at | (1 << line);
        const mask = 1 << line;
        code.bytes([at >> 8, at & 0xff, other >> 8, other & 0xff, mask >> 8, mask & 0xff], `A${line}`);
      }
    code.bytes([0]);
    code.label(`lines_${k}`, "lines for the address patterns, then the end");
    for (const line of linesOf(lineMask)) code.bytes([(1 << line) >> 8, (1 << line) & 0xff], `A${line}`);
    code.bytes([0, 0]);
  }
  code.label("backgrounds");
  code.bytes(plan.backgrounds);
  if (plan.screen?.characters !== undefined)
    addTexts(code, plan, plan.screen.range.to - plan.screen.range.from + 1);
}

function addRow(code: CodeZ80, { bank, range }: Row, k: number, rows: readonly Row[]): void {
  const { index } = bank;
  const chip = (bit: number): number => signalByte({ kind: "chip", bank: index, bit });
  const line = (at: number): number => signalByte({ kind: "address-line", bank: index, line: at });
  const pages = (range.to + 1 - range.from) >> 8;
  code.bytes([range.from >> 8, pages & 0xff, bank.bitMask, index], "first page, pages, bits, bank");
  code.bytes([signalByte({ kind: "no-answer", bank: index })], "signals: no answer");
  code.bytes([chip(0), chip(1) - chip(0)], "signals of bit 0, and the step to the next");
  code.bytes([line(0), line(1) - line(0)], "signals of line 0, and the step to the next");
  for (const probe of probesOf(range)) code.word(probe, "data lines are walked here");
  code.pointer(`pairs_${k}`);
  code.pointer(`lines_${k}`);
  const next = rows[k + 1];
  const word: Verdict | undefined =
    next === undefined
      ? { kind: "good" }
      : index === 0 && next.bank.index !== 0
        ? { kind: "main-good" }
        : undefined;
  code.bytes(
    [word === undefined ? 0 : signalByte(word), next === undefined ? 1 : 0, ((range.to + 1) >> 8) & 0xff],
    "signals when good, last row, page behind the end",
  );
}

/** The first, the last, and two addresses between, far apart. */
function probesOf({ from, to }: AddressRange): number[] {
  const third = Math.floor((to - from) / 3);
  return [from, from + (third | 1), to - (third & ~1), to];
}

/** Lines on which two addresses of the range differ, as a mask. */
function linesWithin(range: AddressRange): number {
  return Array.from({ length: 16 }, (_, line) => line)
    .filter((line) => pairStarts(range, line).length > 0)
    .reduce((mask, line) => mask | (1 << line), 0);
}

/**
 * Addresses of the range with the line low, whose partner with the line high is in the range too: the lowest and the
 * highest, so that the other lines are once mostly low and once mostly high. That shows a line that is bridged to another
 * in either sense.
 */
export function pairStarts({ from, to }: AddressRange, line: number): number[] {
  const bit = 1 << line;
  const fits = (at: number): boolean => (at & bit) === 0 && at >= from && (at | bit) <= to;
  const first = (from & bit) === 0 ? from : (from | (bit - 1)) + 1;
  const partner = (to & bit) !== 0 ? to : (to & ~(bit - 1)) - 1;
  const starts = [first, partner & ~bit].filter((at) => at >= 0 && fits(at));
  return [...new Set(starts)];
}

function addTexts(code: CodeZ80, plan: SelfTestPlan, length: number): void {
  code.label("texts", "signal byte, words, zero");
  for (const verdict of verdictsOf(plan)) {
    const words = wordsOf(plan, verdict).slice(0, length);
    code.bytes([signalByte(verdict), ...[...words].map((letter) => letter.charCodeAt(0)), 0], words);
  }
  code.bytes([0]);
}

/** A verdict in words that fit a line of a screen: `DATA BIT 3: U6`. */
function wordsOf(plan: SelfTestPlan, verdict: Verdict): string {
  const { title, parts } = meaningOf(plan, verdict);
  const isBankKnown = verdict.kind === "chip" || verdict.kind === "address-line";
  const short =
    verdict.kind === "no-answer"
      ? `no answer, bank ${verdict.bank}`
      : verdict.kind === "main-good"
        ? "main memory good"
        : isBankKnown && verdict.bank > 0
          ? `bank ${verdict.bank} ${verdict.kind === "chip" ? `bit ${verdict.bit}` : `line ${verdict.line}`}`
          : title;
  return [short, parts.slice(0, 2).join(" ")]
    .filter((text) => text !== "")
    .join(": ")
    .toUpperCase();
}
