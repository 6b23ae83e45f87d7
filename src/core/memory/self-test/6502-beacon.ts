import type { Code6502 } from "./6502-code.js";
import { beaconUnits, messageCopies, signalsOf, type Verdict } from "./beacon.js";
import type { PortBeacon, SelfTestPlan } from "./plan.js";

/** Steps of a unit: so many that the longest signal is still counted in a byte. */
const stepsPerUnit = Math.floor(255 / beaconUnits.start);
/** Marks the end of the signals of a verdict; the verdict's number is in the other bits. */
const endMark = 0x80;
/** Numbers of the verdicts that are no mask: one less than a multiple of 8, so that what comes after them is found alike. */
const wholeNumbers = { good: 39, rom: 47, "no-answer": 55, refresh: 63 } as const;
/** First numbers of the masks. */
const maskStarts = { chip: 0, lowLine: 8, highLine: 16, dataLine: 24 } as const;

/** Where to go on after a message that is no part of a mask, or after the last of a mask. */
export interface AfterMessage {
  readonly chips: string;
  readonly lowLines: string;
  readonly highLines: string;
  readonly dataLines: string;
  readonly good: string;
  readonly rom: string;
  readonly noAnswer: string;
  readonly refresh: string;
}

/** Sends a verdict that is no mask; goes on where {@link AfterMessage} says. */
export function sendWhole(code: Code6502, kind: keyof typeof wholeNumbers): void {
  code.at("LDY", { label: "start_of", plus: wholeNumbers[kind] });
  code.jump("send", kind);
}

/** Sends one message for each bit of the mask in S; goes on where {@link AfterMessage} says. */
export function sendMask(code: Code6502, mask: keyof typeof maskStarts): void {
  code.byte("LDY", maskStarts[mask]);
  code.jump("scan", mask);
}

/**
 * The sender. It needs no RAM: Y is the place in the table of signals, A counts steps, X waits, S keeps the mask. Each of
 * the copies has its own code, for there is no register left to count them.
 */
export function addSender(code: Code6502, plan: SelfTestPlan, after: AfterMessage): void {
  code.label("scan", "next bit of the mask in S, from verdict Y on");
  code.plain("TSX", "TXA");
  code.at("AND", { label: "bit_of" }, "y");
  code.branch("BEQ", "scan_next");
  code.at("LDA", { label: "start_of" }, "y");
  code.plain("TAY");
  code.branch("BNE", "send", "always: no signals start at 0");
  code.label("sent", "A is the verdict that was sent");
  code.plain("TAY");
  code.label("scan_next");
  code.plain("INY", "TYA");
  code.byte("AND", 7);
  code.branch("BNE", "scan");
  const ends: [number, string][] = [
    [8, after.chips],
    [16, after.lowLines],
    [24, after.highLines],
    [32, after.dataLines],
    [40, after.good],
    [48, after.rom],
    [56, after.noAnswer],
    [64, after.refresh],
  ];
  for (const [number, label] of ends) {
    const next = code.fresh("after");
    code.byte("CPY", number);
    code.branch("BNE", next);
    code.jump(label);
    code.label(next);
  }
  code.jump(after.good, "cannot be reached");
  code.label("send", "start mark");
  code.byte("LDA", beaconUnits.start * stepsPerUnit);
  addBurst(code, plan);
  code.byte("LDA", beaconUnits.pause * stepsPerUnit);
  addSilence(code, plan);
  for (let copy = 1; copy <= messageCopies; copy += 1) addCopy(code, plan, copy);
  code.jump("sent");
}

function addCopy(code: Code6502, plan: SelfTestPlan, copy: number): void {
  const [signal, end] = [`signal_${copy}`, `end_${copy}`];
  code.label(signal, `copy ${copy}`);
  code.at("LDA", { label: "signals" }, "y");
  const burst = code.fresh("signal_burst");
  code.branch("BPL", burst);
  code.jump(end);
  code.label(burst);
  addBurst(code, plan);
  code.byte("LDA", beaconUnits.gap * stepsPerUnit);
  addSilence(code, plan);
  code.plain("INY");
  code.jump(signal);
  code.label(end);
  code.byte("LDA", (beaconUnits.pause - beaconUnits.gap) * stepsPerUnit);
  addSilence(code, plan);
  code.at("LDA", { label: "signals" }, "y", "the number of the verdict, from the end mark");
  code.byte("AND", 0x7f);
  if (copy === messageCopies) return;
  code.plain("TAX");
  code.at("LDY", { label: "start_of" }, "x");
}

/** Longest unit in seconds: the loops count in bytes. */
const longestUnitSeconds = 0.3;
/** Reads of the select line in a round of a loop, at least: enough for a light to be seen. */
const readsInRound = 4;
/** Cycles of DEX and BNE, and of a read. */
const countCycles = 5;
const readCycles = 4;

/** Cycles of a step, as the plan wants it. Throws `RangeError` if the loops do not count so far. */
function stepCycles({ unitSeconds, clockHertz }: SelfTestPlan): number {
  if (unitSeconds > longestUnitSeconds)
    throw new RangeError(`a short signal of a 6502 is at most ${longestUnitSeconds} s, not ${unitSeconds} s`);
  return (unitSeconds * clockHertz) / stepsPerUnit;
}

/** Instructions of two cycles that fill a round, so that 256 rounds are as long as the longest step asks for. */
function fillersOf({ clockHertz }: SelfTestPlan, roundsInStep: number, cycles: number): number {
  const longest = (longestUnitSeconds * clockHertz) / stepsPerUnit;
  return Math.max(0, Math.ceil((longest / roundsInStep - cycles) / 2));
}

/** Beacons on for A steps. Each step reads the select line in two loops; sound is on in the first only. */
function addBurst(code: Code6502, plan: SelfTestPlan): void {
  const writes = portWrites(plan.ports);
  addBand(code, plan, "on");
  const step = code.fresh("burst");
  code.label(step);
  const overhead = 11 + writes.length * 12 + 4;
  const half = (stepCycles(plan) - overhead) / 2;
  for (const part of ["first", "second"] as const) {
    for (const { address, first, second } of writes) {
      code.byte("LDX", part === "first" ? first : second);
      code.at("STX", address);
    }
    addLoop(code, half, fillersOf(plan, 512, countCycles + readsInRound * readCycles), () => {
      for (let k = 0; k < readsInRound; k += 1) code.at("CMP", plan.bus.address);
    });
  }
  addCountDown(code, step);
  for (const { address, off } of writes) {
    code.byte("LDX", off);
    code.at("STX", address);
  }
  addBand(code, plan, "off");
}

/** A loop of about so many cycles: each round does what `body` writes, and `fillers` instructions that do nothing. */
function addLoop(code: Code6502, cycles: number, fillers: number, body?: () => void): void {
  const label = code.fresh("round");
  const round = countCycles + fillers * 2 + (body === undefined ? 0 : readsInRound * readCycles);
  code.byte("LDX", Math.min(256, Math.max(1, Math.round(cycles / round))) & 0xff);
  code.label(label);
  body?.();
  for (let k = 0; k < fillers; k += 1) code.plain("NOP");
  code.plain("DEX");
  code.branch("BNE", label);
}

function addSilence(code: Code6502, plan: SelfTestPlan): void {
  const step = code.fresh("silence");
  code.label(step);
  addLoop(code, stepCycles(plan) - 13, fillersOf(plan, 256, countCycles));
  addCountDown(code, step);
}

/** One step less in A. Neither this nor anything else of the sender changes the overflow flag: others keep it. */
function addCountDown(code: Code6502, step: string): void {
  code.plain("TAX", "DEX", "TXA");
  const end = code.fresh("steps_done");
  code.branch("BEQ", end);
  code.jump(step);
  code.label(end);
}

/** Switches the band of the picture; A is kept in X meanwhile. */
function addBand(code: Code6502, { screen }: SelfTestPlan, state: "on" | "off"): void {
  if (screen === undefined) return;
  const { from, to } = screen.range;
  const value = state === "on" ? screen.on : screen.off;
  code.plain("TAX");
  code.byte("LDA", value, `band ${state}`);
  for (let at = from; at <= to; at += bandStep) code.at("STA", at);
  code.plain("TXA");
}

/** Every so many bytes one is written: a band needs no more to be seen, and code has to stay short. */
const bandStep = 32;

interface PortWrite {
  readonly address: number;
  readonly first: number;
  readonly second: number;
  readonly off: number;
}

/** What is written to each port: beacons that share one are or-ed. */
function portWrites(ports: readonly PortBeacon[]): PortWrite[] {
  const memory = ports.filter(({ space }) => space === "memory");
  return [...new Set(memory.map(({ address }) => address))].map((address) => {
    const own = memory.filter((port) => port.address === address);
    const joined = (pick: (port: PortBeacon) => number): number =>
      own.reduce((byte, port) => byte | pick(port), 0);
    return {
      address,
      first: joined(({ on }) => on),
      second: joined(({ on, off, medium }) => (medium === "sound" ? off : on)),
      off: joined(({ off }) => off),
    };
  });
}

/** Tables of the sender. Verdicts whose bit or line the plan does not have keep their place, and are never sent. */
export function addSenderTables(code: Code6502): void {
  const numbers = new Map<number, Verdict>();
  for (let bit = 0; bit < 8; bit += 1) {
    numbers.set(maskStarts.chip + bit, { kind: "chip", bank: 0, bit });
    numbers.set(maskStarts.dataLine + bit, { kind: "data-line", bit });
    numbers.set(maskStarts.lowLine + bit, { kind: "address-line", bank: 0, line: bit });
    numbers.set(maskStarts.highLine + bit, { kind: "address-line", bank: 0, line: bit + 8 });
  }
  for (const kind of ["good", "rom", "refresh"] as const) numbers.set(wholeNumbers[kind], { kind });
  numbers.set(wholeNumbers["no-answer"], { kind: "no-answer", bank: 0 });
  const signals: number[] = [0];
  const starts: number[] = new Array<number>(64).fill(0);
  for (const [number, verdict] of numbers) {
    starts[number] = signals.length;
    signals.push(...signalsOf(verdict).map((signal) => beaconUnits[signal] * stepsPerUnit), endMark | number);
  }
  if (signals.length > 256) throw new RangeError(`the table of signals needs ${signals.length} bytes of 256`);
  code.table("start_of", starts, "where the signals of a verdict start");
  code.table("signals", signals, "steps of each signal; with bit 7, the end and the verdict's number");
  code.table(
    "bit_of",
    Array.from({ length: 32 }, (_, k) => 1 << (k & 7)),
  );
}
