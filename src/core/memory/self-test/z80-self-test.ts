import { signalByte } from "./beacon.js";
import type { SelfTestImage } from "./image.js";
import type { SelfTestPlan } from "./plan.js";
import { addAddressLines, addAddressPatterns, addNext } from "./z80-address.js";
import { addSend } from "./z80-beacon.js";
import { CodeZ80 } from "./z80-code.js";
import { hexZ80 } from "./z80-instructions.js";
import { addMarchPass, addMarchRoutines, addPause, addSwap } from "./z80-march.js";
import { addTables, field, probesPerRange, rowBytes } from "./z80-tables.js";

/** Where an interrupt that cannot be masked leads: it starts the test anew. */
const interruptAddress = 0x66;
/** What unused places of an EPROM hold. */
const blank = 0xff;
/** Signals of data line 0 and the step to the next: they do not depend on the bank. */
const dataLineFirst = signalByte({ kind: "data-line", bit: 0 });
const dataLineStep = signalByte({ kind: "data-line", bit: 1 }) - dataLineFirst;

/**
 * A self-test for a Z80. It uses no RAM but the words it tests: no stack, no calls. What was found stays in registers:
 *
 * - SP: address lines that failed
 * - second B, C: chips and data lines that failed, a bit each
 * - second D: bit 7 something failed, bit 0 no answer, bit 1 refresh
 * - IX: row of the table of ranges; IY: where a routine returns to; second HL: a place in a table
 *
 * The last two bytes of the ROM hold the sum of all others. As soon as something fails in a range, the test stays with
 * that range; what has failed once is reported in every later loop.
 * Throws `RangeError` if the plan is for another processor or the ROM is too small.
 */
export function generateZ80(plan: SelfTestPlan): SelfTestImage {
  if (plan.processor.instructionSet !== "z80")
    throw new RangeError(`the plan is for a ${plan.processor.instructionSet}, not for a Z80`);
  const { bytes } = build(plan, 0);
  const sum = bytes.subarray(0, -2).reduce((total, byte) => (total + byte) & 0xffff, 0);
  return build(plan, sum);
}

function build(plan: SelfTestPlan, sum: number): SelfTestImage {
  const code = new CodeZ80(plan.rom.start);
  code.label("reset");
  code.add(["di", "jp begin"]);
  code.skipTo(interruptAddress);
  code.add("jp reset", "NMI starts the test anew");
  code.label("begin");
  addSetUp(code, plan);
  addRomCheck(code, plan);
  addDataLines(code);
  addAddressLines(code);
  addCells(code, plan);
  addAddressPatterns(code);
  addVerdict(code);
  addClassify(code);
  addWalk(code);
  addMarchRoutines(code);
  addPause(code, plan);
  addSend(code, plan);
  addTables(code, plan);
  code.skipTo(plan.rom.start + plan.rom.bytes - 2);
  code.label("sum");
  code.word(sum, "sum of all bytes before it");
  return code.finish(plan.rom.bytes, blank);
}

function addSetUp(code: CodeZ80, { ports }: SelfTestPlan): void {
  for (const { space, setUp, title } of ports)
    for (const { address, value } of setUp) {
      const write = space === "io" ? `out (${hexZ80(address & 0xff, 2)}),a` : `ld (${hexZ80(address, 4)}),a`;
      code.add([`ld a,${hexZ80(value, 2)}`, write], `set up: ${title}`);
    }
  code.add(["exx", "ld bc,0", "ld d,0", "exx", "ld hl,0", "ld sp,hl"], "nothing has failed yet");
}

function addRomCheck(code: CodeZ80, { rom }: SelfTestPlan): void {
  code.label("rom_check");
  code.add(
    [`ld hl,${hexZ80(rom.start, 4)}`, "ld de,0", `ld bc,${rom.bytes - 2}`],
    "own ROM: add up all bytes",
  );
  code.label("rom_byte");
  code.add(["ld a,(hl)", "add a,e", "ld e,a", "jr nc,rom_next", "inc d"]);
  code.label("rom_next");
  code.add(["inc hl", "dec bc", "ld a,b", "or c", "jp nz,rom_byte"]);
  code.add(["ld a,(hl)", "cp e", "jr nz,rom_bad", "inc hl", "ld a,(hl)", "cp d", "jp z,first_range"]);
  code.label("rom_bad", "nothing else can be trusted: this is said for ever");
  code.add(`ld a,${hexZ80(signalByte({ kind: "rom" }), 2)}`);
  code.add(["ld iy,rom_bad", "jp send"]);
}

function addDataLines(code: CodeZ80): void {
  code.label("first_range");
  code.add("ld ix,ranges");
  code.label("range", "data lines: bits that are wrong at every place");
  code.add("ld d,0FFh");
  for (let k = 0; k < probesPerRange; k += 1) {
    const at = field.probes + 2 * k;
    code.add([`ld l,(ix+${at})`, `ld h,(ix+${at + 1})`]);
    code.run("walk");
  }
  code.add([
    "ld a,d",
    `and (ix+${field.bitMask})`,
    "jp z,pairs",
    `cp (ix+${field.bitMask})`,
    "jp z,no_answer",
  ]);
  code.add(
    ["ld e,a", `ld a,(ix+${field.bank})`, "or a", "ld a,e", "exx", "jr nz,data_chips"],
    "lines are told apart in bank 0 only",
  );
  code.add(["or c", "ld c,a", "jr data_noted"]);
  code.label("data_chips");
  code.add(["or b", "ld b,a"]);
  code.label("data_noted");
  code.add(["set 7,d", "exx"]);
}

/** The routine `walk`: a one and a zero walk through the word at HL; wrong bits are in B, and D keeps those wrong everywhere. */
function addWalk(code: CodeZ80): void {
  code.label("walk");
  code.add(["ld b,0", "ld c,1"]);
  code.label("walk_bit");
  code.add(["ld (hl),c", "ld a,(hl)", "xor c", "or b", "ld b,a"]);
  code.add(["ld a,c", "cpl", "ld e,a", "ld (hl),e", "ld a,(hl)", "xor e", "or b", "ld b,a"]);
  code.add(["rlc c", "jr nc,walk_bit", "ld a,d", "and b", "ld d,a", "jp (iy)"]);
}

function addCells(code: CodeZ80, { backgrounds }: SelfTestPlan): void {
  const last = backgrounds.at(-1) ?? 0;
  code.add(["exx", "ld hl,backgrounds", "exx"], "cells");
  code.label("background");
  addNext(code);
  code.add(["ld d,a", "cpl", "ld e,a"]);
  addMarchPass(code);
  code.run("classify");
  code.add(["ld a,b", "or a", "jp nz,no_answer", "ld a,d", `cp ${hexZ80(last, 2)}`, "jp nz,background"]);
  code.add(["ld d,0", "ld e,0FFh", "ld b,0"], "retention: zeros, then ones");
  code.run("fill");
  code.run("pause");
  code.run("turn_up");
  addSwap(code);
  code.run("pause");
  code.run("look");
  code.run("classify");
  code.add(["ld a,b", "or a", "jp z,patterns"]);
  code.add([
    `ld a,(ix+${field.bank})`,
    "or a",
    "jp nz,no_answer",
    "exx",
    "set 7,d",
    "set 1,d",
    "exx",
    "jp report",
  ]);
}

/** The end of a range, and what is said. */
function addVerdict(code: CodeZ80): void {
  code.label("range_end");
  code.add([
    "exx",
    "bit 7,d",
    "exx",
    "jp nz,report",
    `ld a,(ix+${field.wordWhenGood})`,
    "or a",
    "jp z,range_next",
  ]);
  code.run("send");
  code.label("range_next");
  code.add([
    `ld a,(ix+${field.isLast})`,
    "or a",
    "jp nz,rom_check",
    `ld bc,${rowBytes}`,
    "add ix,bc",
    "jp range",
  ]);
  code.label("no_answer");
  code.add(["exx", "set 7,d", "set 0,d", "exx"]);
  code.label("report", "everything that ever failed, one message each");
  code.add(["exx", "bit 0,d", "exx", "jp z,report_lines"]);
  code.add(`ld a,(ix+${field.noAnswer})`);
  code.run("send");
  code.label("report_lines");
  addReport(code, ["exx", "ld h,c", `ld l,${hexZ80(dataLineFirst, 2)}`, "exx"], [`add a,${dataLineStep}`]);
  const lineStep = `add a,(ix+${field.lineStep})`;
  const fromLines = (half: "l" | "h", first: readonly string[]): string[] => [
    ...["ld hl,0", "add hl,sp", `ld b,${half}`, ...first, "ld c,a"],
    ...["ld a,b", "exx", "ld h,a", "exx", "ld a,c", "exx", "ld l,a", "exx"],
  ];
  const first = `ld a,(ix+${field.lineFirst})`;
  addReport(code, fromLines("l", [first]), [lineStep]);
  const half = [
    `ld a,(ix+${field.lineStep})`,
    "add a,a",
    "add a,a",
    "add a,a",
    `add a,(ix+${field.lineFirst})`,
  ];
  addReport(code, fromLines("h", half), [lineStep]);
  code.add(["exx", "bit 1,d", "exx", "jp z,report_chips"]);
  code.add(`ld a,${hexZ80(signalByte({ kind: "refresh" }), 2)}`);
  code.run("send");
  code.label("report_chips");
  addReport(code, ["exx", "ld h,b", `ld l,(ix+${field.chipFirst})`, "exx"], [`add a,(ix+${field.chipStep})`]);
  code.add("jp range", "the same range again: what fails now and then is found too");
}

/** Sends a message for each bit of a mask. `load` puts the mask into the second H and the signals of bit 0 into the second L. */
function addReport(code: CodeZ80, load: readonly string[], step: readonly string[]): void {
  const [bit, next] = [code.fresh("report_bit"), code.fresh("report_next")];
  code.add(load);
  code.label(bit);
  code.add(["exx", "srl h", "ld a,l", "exx", `jp nc,${next}`, `ld iy,${next}`, "jp send"]);
  code.label(next);
  code.add(["exx", "ld a,l", ...step, "ld l,a", "ld a,h", "or a", "exx", `jp nz,${bit}`]);
}

/**
 * The routine `classify`: B holds wrong bits. Bits that are known to be wrong everywhere do not count. If all others are
 * wrong, B stays as it is, for what they share is to blame; if some are, their chips are noted and B becomes 0.
 */
function addClassify(code: CodeZ80): void {
  code.label("classify");
  code.add([
    "exx",
    "ld a,c",
    "exx",
    "cpl",
    `and (ix+${field.bitMask})`,
    "ld c,a",
    "and b",
    "ld b,a",
    "jr z,classified",
  ]);
  code.add(["cp c", "jr z,classified", "exx", "or b", "ld b,a", "set 7,d", "exx", "ld b,0"]);
  code.label("classified");
  code.add("jp (iy)");
}
