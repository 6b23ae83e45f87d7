import { hex } from "../../base/hex.js";
import type { AddressRange, MemoryArray } from "../map/memory-map.js";
import type { Verdict } from "./beacon.js";
import type { SelfTestPlan, TestBank } from "./plan.js";

/** What a verdict means on a board. */
export interface VerdictMeaning {
  /** In a few words: `data bit 3`. */
  readonly title: string;
  /** Parts to look at, the likeliest first. */
  readonly parts: readonly string[];
}

/** Says what a verdict means on the plan's board. Throws `RangeError` for a bank that the plan does not have. */
export function meaningOf(plan: SelfTestPlan, verdict: Verdict): VerdictMeaning {
  const { title, parts } = boardMeaning(plan, verdict);
  // The processor is in every way, and it runs.
  return { title, parts: parts.filter((part) => part !== plan.processor.part) };
}

function boardMeaning({ rom, banks }: SelfTestPlan, verdict: Verdict): VerdictMeaning {
  switch (verdict.kind) {
    case "good":
      return { title: "all good", parts: [] };
    case "main-good":
      return { title: "main memory good, other memory is tested next", parts: [] };
    case "rom":
      return { title: "this ROM reads wrong", parts: [rom.part] };
    case "refresh":
      return {
        title: "memory forgets: refresh",
        parts: distinct(controlParts(bankOf(banks, 0).array, ["row strobe"])),
      };
    case "no-answer": {
      const bank = bankOf(banks, verdict.bank);
      return {
        title: `${placeOf(bank, banks)} gives no answer`,
        parts: distinct([...controlParts(bank.array, undefined), ...bank.array.bits.map(({ part }) => part)]),
      };
    }
    case "data-line":
    case "chip": {
      const bank = bankOf(banks, verdict.kind === "chip" ? verdict.bank : 0);
      const bits = bank.array.bits.filter(({ bit }) => bit === verdict.bit);
      const where = bank.index === 0 ? "" : ` of ${placeOf(bank, banks)}`;
      return {
        title: `data ${verdict.kind === "chip" ? "bit" : "line"} ${verdict.bit}${where}`,
        parts: distinct(bits.flatMap(({ part, buffers }) => [part, ...buffers.map((buffer) => buffer.part)])),
      };
    }
    case "address-line": {
      const bank = bankOf(banks, verdict.bank);
      const where = bank.index === 0 ? "" : ` of ${placeOf(bank, banks)}`;
      return { title: `address line ${verdict.line}${where}`, parts: lineParts(bank.array, verdict.line) };
    }
  }
}

/** Name of a bank where there are several: by its addresses. */
function placeOf(bank: TestBank, banks: readonly TestBank[]): string {
  if (banks.length === 1) return "the memory";
  return `the memory at ${bank.array.ranges.map(rangeText).join(", ")}`;
}

/** Parts on the way of a processor address line to the chips, the last multiplexer first. */
function lineParts({ lines }: MemoryArray, line: number): string[] {
  return distinct(
    lines.flatMap(({ way }) => {
      const used = [way.row, way.column].find((half) => half?.bit === line);
      if (used === undefined) return [];
      const points = [...way.shared, ...used.before];
      const chips = points.filter(({ role }) => role !== "resistor");
      return [...chips, ...points.filter(({ role }) => role === "resistor")].map(({ part }) => part);
    }),
  );
}

function controlParts({ controls }: MemoryArray, roles: readonly string[] | undefined): string[] {
  return controls
    .filter(({ role }) => roles === undefined || roles.includes(role))
    .flatMap(({ way }) => [...way].reverse().map(({ part }) => part));
}

function bankOf(banks: readonly TestBank[], index: number): TestBank {
  const bank = banks[index];
  if (bank === undefined) throw new RangeError(`the plan has ${banks.length} banks, and none ${index}`);
  return bank;
}

function rangeText({ from, to }: AddressRange): string {
  return `${hex(from)}-${hex(to)}`;
}

function distinct(parts: readonly string[]): string[] {
  return [...new Set(parts)];
}
