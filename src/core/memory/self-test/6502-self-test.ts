import { addSender, addSenderTables, sendMask, sendWhole } from "./6502-beacon.js";
import { Code6502 } from "./6502-code.js";
import { addAddressLines, addDataLines, clearMask, flagByte } from "./6502-lines.js";
import { addMarch } from "./6502-march.js";
import { addPageZero, addRefreshTest } from "./6502-page-zero.js";
import type { SelfTestImage } from "./image.js";
import type { SelfTestPlan } from "./plan.js";

/** What unused places of an EPROM hold. */
const blank = 0xff;
/** What all bytes of the ROM come to when they are added, the carry going round. */
const romSum = 0x5a;
const vectorBytes = 6;

/**
 * A self-test for a 6502. No call and no stack: S holds the mask of what failed. A table of the numbers 0 to 255 joins
 * registers, which the processor cannot do by itself. Page zero is tested by straight code before variables stand there.
 *
 * Once a ROM, data line or refresh has failed, the test stays with that; a line as long as it is bad; bits of chips add up
 * over all rounds.
 * Throws `RangeError` if the plan is for another processor, has several banks, no page zero, or beacons in port space, or if
 * the ROM is too small.
 */
export function generate6502(plan: SelfTestPlan): SelfTestImage {
  requireFit(plan);
  const { bytes } = build(plan, 0);
  for (let balance = 0; balance < 0xff; balance += 1) {
    bytes[bytes.length - vectorBytes - 1] = balance;
    if (sumOf(bytes) === romSum) return build(plan, balance);
  }
  throw new RangeError("no balance of the ROM's sum was found");
}

/** The sum that the code makes: each carry is added to the next byte, the last to the sum. */
function sumOf(bytes: Uint8Array): number {
  let sum = 0;
  let carry = 0;
  for (const byte of bytes) {
    const next = sum + byte + carry;
    sum = next & 0xff;
    carry = next >> 8;
  }
  return (sum + carry) & 0xff;
}

function requireFit({ processor, banks, bus, ports }: SelfTestPlan): void {
  if (processor.instructionSet !== "6502")
    throw new RangeError(`the plan is for a ${processor.instructionSet}, not for a 6502`);
  if (banks.length !== 1)
    throw new RangeError(`the 6502 self-test knows one bank of memory; the plan has ${banks.length}`);
  if (banks[0]?.ranges[0]?.from !== 0)
    throw new RangeError("the tested memory of a 6502 must include page zero, addresses 0000 to 00FF");
  if (bus.space === "io" || ports.some(({ space }) => space === "io"))
    throw new RangeError("a 6502 has no port space; its beacons are in memory");
}

function build(plan: SelfTestPlan, balance: number): SelfTestImage {
  const { rom } = plan;
  const code = new Code6502(rom.start);
  code.label("reset");
  code.plain("SEI", "CLD");
  for (const { setUp, title } of plan.ports)
    for (const { address, value } of setUp) {
      code.byte("LDX", value, `set up: ${title}`);
      code.at("STX", address);
    }
  addRomCheck(code, plan);
  addDataLines(code, plan);
  code.label("data_report");
  sendMask(code, "dataLine");
  code.label("address_lines");
  addLines(code, plan);
  code.label("refresh");
  addRefreshTest(code, plan);
  code.jump("again");
  code.label("refresh_bad");
  sendWhole(code, "refresh");
  addPageZero(code, plan);
  addMarch(code, plan);
  code.label("report");
  code.plain("TSX", "TXA");
  code.branch("BEQ", "all_good");
  code.byte("CMP", plan.banks[0]?.bitMask ?? 0);
  code.branch("BEQ", "no_answer");
  sendMask(code, "chip");
  code.label("all_good");
  sendWhole(code, "good");
  code.label("no_answer");
  sendWhole(code, "no-answer");
  addSender(code, plan, {
    chips: "again",
    lowLines: "high_lines",
    highLines: "lines_end",
    dataLines: "data_again",
    good: "again",
    rom: "rom_bad",
    noAnswer: "data_again",
    refresh: "refresh_bad",
  });
  addSenderTables(code);
  code.table(flagByte, [0x40]);
  code.table(
    "same",
    Array.from({ length: 256 }, (_, k) => k),
    "joins registers",
  );
  code.skipTo(rom.start + rom.bytes - vectorBytes - 1);
  code.table("balance", [balance], "makes the sum of all bytes what it should be");
  code.word("reset", "NMI starts the test anew");
  code.word("reset", "reset");
  code.word("reset", "interrupts are off");
  return code.finish(rom.bytes, blank);
}

function addRomCheck(code: Code6502, { rom }: SelfTestPlan): void {
  code.byte("LDX", 0, "own ROM: add up all bytes, the carry goes round");
  code.plain("TXA", "CLC");
  for (let page = rom.start; page < rom.start + rom.bytes; page += 256) {
    const loop = code.fresh("rom_page");
    code.label(loop);
    code.at("ADC", page, "x");
    code.plain("INX");
    code.branch("BNE", loop);
  }
  code.byte("ADC", 0);
  code.byte("CMP", romSum);
  code.branch("BEQ", "data_lines");
  code.label("rom_bad", "nothing else can be trusted: this is said for ever");
  sendWhole(code, "rom");
}

/** Both halves of the lines; the overflow flag tells whether any was bad. */
function addLines(code: Code6502, plan: SelfTestPlan): void {
  code.plain("CLV");
  for (const [part, mask] of [
    ["low", "lowLine"],
    ["high", "highLine"],
  ] as const) {
    if (part === "high") code.label("high_lines");
    clearMask(code);
    addAddressLines(code, plan, part);
    const good = code.fresh("lines_good");
    code.plain("TSX", "TXA");
    code.branch("BEQ", good);
    code.at("BIT", { label: flagByte });
    sendMask(code, mask);
    code.label(good);
  }
  code.label("lines_end");
  const good = code.fresh("lines_good");
  code.branch("BVC", good);
  code.jump("address_lines", "as long as a line is bad");
  code.label(good);
}
