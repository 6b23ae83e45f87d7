/**
 * The code in which a self-test shows its verdict. A message is a start mark and then three times the same signals, each
 * short or long; a long is a one, a short a zero, the highest bit first. How many signals there are says what the number
 * means:
 *
 * | signals | number |
 * | --- | --- |
 * | 1 | 0 main memory good, other memory is tested next |
 * | 2 | 0 all good, 1 own ROM bad, 2 main memory gives no answer, 3 main memory forgets: refresh |
 * | 3 | data bit of a chip of the main memory |
 * | 4 | address line of the main memory |
 * | 5 | two bits and three: 0 and a data line of the main memory; 1 to 3: a bank, and a data bit of a chip of it |
 * | 6 | two bits and four: 0 and a bank that gives no answer; 1 to 3: a bank, and an address line of it |
 *
 * If more is bad than one thing, more messages follow, each with its own start mark.
 */
export type Verdict =
  | { readonly kind: "good" }
  /** Sent before other banks are tested, for a fault there may stop the processor. */
  | { readonly kind: "main-good" }
  | { readonly kind: "rom" }
  /** Every bit of a bank is wrong everywhere or in whole areas: strobes, write line, select, supply. */
  | { readonly kind: "no-answer"; readonly bank: number }
  /** All bits hold at once, and are lost in the pause. */
  | { readonly kind: "refresh" }
  /** A data bit of the main memory is wrong at every address, or follows another one. */
  | { readonly kind: "data-line"; readonly bit: number }
  /** Cells of the chip that holds this bit are bad. */
  | { readonly kind: "chip"; readonly bank: number; readonly bit: number }
  /** Two addresses that differ in this line answer as one, in every bit. */
  | { readonly kind: "address-line"; readonly bank: number; readonly line: number };

export type Signal = "short" | "long";

/** How often the signals of a message are sent. */
export const messageCopies = 3;

/** Lengths in units: {@link SelfTestPlan.unitSeconds} long each. */
export const beaconUnits = {
  short: 1,
  long: 3,
  /** Silence between the signals of a copy. */
  gap: 2,
  /** The signal that opens a message. */
  start: 10,
  /** Silence after a copy and after the start mark. */
  pause: 6,
} as const;

const wholeKinds = ["good", "rom", "no-answer", "refresh"] as const;

/** The signals of a verdict. Throws `RangeError` if its bank, bit or line has no code. */
export function signalsOf(verdict: Verdict): Signal[] {
  switch (verdict.kind) {
    case "main-good":
      return spell(0, 1);
    case "good":
    case "rom":
    case "refresh":
      return spell(wholeKinds.indexOf(verdict.kind), 2);
    case "no-answer":
      return verdict.bank === 0 ? spell(2, 2) : spell(within(verdict.bank, 3, "bank"), 6);
    case "data-line":
      return spell(within(verdict.bit, 7, "bit"), 5);
    case "chip":
      within(verdict.bit, 7, "bit");
      within(verdict.bank, 3, "bank");
      return verdict.bank === 0 ? spell(verdict.bit, 3) : spell((verdict.bank << 3) | verdict.bit, 5);
    case "address-line":
      within(verdict.line, 15, "line");
      within(verdict.bank, 3, "bank");
      return verdict.bank === 0 ? spell(verdict.line, 4) : spell((verdict.bank << 4) | verdict.line, 6);
  }
}

/** The verdict that signals stand for; undefined if they stand for none. */
export function verdictOf(signals: readonly Signal[]): Verdict | undefined {
  const number = signals.reduce((value, signal) => value * 2 + (signal === "long" ? 1 : 0), 0);
  const bank = number >> (signals.length === 5 ? 3 : 4);
  switch (signals.length) {
    case 1:
      return number === 0 ? { kind: "main-good" } : undefined;
    case 2: {
      const kind = wholeKinds[number];
      if (kind === undefined) return undefined;
      return kind === "no-answer" ? { kind, bank: 0 } : { kind };
    }
    case 3:
      return { kind: "chip", bank: 0, bit: number };
    case 4:
      return { kind: "address-line", bank: 0, line: number };
    case 5:
      return bank === 0 ? { kind: "data-line", bit: number } : { kind: "chip", bank, bit: number & 7 };
    case 6:
      if (bank > 0) return { kind: "address-line", bank, line: number & 15 };
      return number >= 1 && number <= 3 ? { kind: "no-answer", bank: number } : undefined;
    default:
      return undefined;
  }
}

/**
 * A verdict as one byte for code generators: the signals from bit 7 down, then a one as end mark, then zeros. Shifting
 * left gives one signal after the other; when what is left is zero, the bit that came out was the mark.
 */
export function signalByte(verdict: Verdict): number {
  const signals = signalsOf(verdict);
  const bits = signals.reduce((value, signal) => value * 2 + (signal === "long" ? 1 : 0), 0);
  return ((bits * 2 + 1) << (7 - signals.length)) & 0xff;
}

/** The verdict of a byte of {@link signalByte}; undefined for other bytes. */
export function verdictOfByte(byte: number): Verdict | undefined {
  const signals: Signal[] = [];
  for (let left = byte & 0xff; left !== 0x80; left = (left << 1) & 0xff) {
    if (left === 0) return undefined;
    signals.push((left & 0x80) !== 0 ? "long" : "short");
  }
  return verdictOf(signals);
}

/** Time in which a beacon was on. */
export interface Burst {
  /** Clock cycle of its beginning. */
  readonly from: number;
  /** Clock cycle of its end. */
  readonly to: number;
}

/** When the beacon is on for a message, from clock cycle 0. `unitCycles` is the length of a unit. */
export function encodeMessage(verdict: Verdict, unitCycles: number): Burst[] {
  const signals = signalsOf(verdict);
  const bursts: Burst[] = [];
  let at = 0;
  const send = (units: number, silence: number): void => {
    bursts.push({ from: at, to: at + units * unitCycles });
    at += (units + silence) * unitCycles;
  };
  send(beaconUnits.start, beaconUnits.pause);
  for (let copy = 0; copy < messageCopies; copy += 1)
    for (const [k, signal] of signals.entries())
      send(beaconUnits[signal], k === signals.length - 1 ? beaconUnits.pause : beaconUnits.gap);
  return bursts;
}

/** Joins moments of activity, in order, to bursts: moments closer than half a unit belong together. */
export function burstsOf(moments: Iterable<number>, unitCycles: number): Burst[] {
  const bursts: Burst[] = [];
  let open: { from: number; to: number } | undefined;
  for (const moment of moments) {
    if (open !== undefined && moment - open.to < unitCycles / 2) open.to = moment;
    else {
      if (open !== undefined) bursts.push(open);
      open = { from: moment, to: moment };
    }
  }
  if (open !== undefined) bursts.push(open);
  return bursts;
}

/** A message as it was read. */
export interface ReadMessage {
  readonly verdict: Verdict;
  readonly signals: readonly Signal[];
  /** Copies that agree with it, of those that were heard. */
  readonly agreeing: number;
  readonly heard: number;
}

/**
 * Reads the messages in bursts, in order; a message is counted when at least two copies of it agree. `isRunning` tells
 * that more may follow, so that the last message is left out until it is complete.
 */
export function readMessages(
  bursts: readonly Burst[],
  unitCycles: number,
  options: { readonly isRunning?: boolean } = {},
): ReadMessage[] {
  const messages: ReadMessage[] = [];
  let copies: Signal[][] | undefined;
  let copy: Signal[] = [];
  const close = (isComplete: boolean): void => {
    if (copies === undefined) return;
    if (copy.length > 0 && isComplete) copies.push(copy);
    copy = [];
    const message = majority(copies);
    if (message !== undefined) messages.push(message);
    copies = undefined;
  };
  for (const [k, { from, to }] of bursts.entries()) {
    const units = (to - from) / unitCycles;
    const silence = k === 0 ? 0 : (from - (bursts[k - 1]?.to ?? 0)) / unitCycles;
    if (units > (beaconUnits.long + beaconUnits.start) / 2) {
      close(true);
      copies = [];
      continue;
    }
    if (copies === undefined) continue;
    if (silence > (beaconUnits.gap + beaconUnits.pause) / 2 && copy.length > 0) {
      copies.push(copy);
      copy = [];
    }
    copy.push(units > (beaconUnits.short + beaconUnits.long) / 2 ? "long" : "short");
  }
  if (options.isRunning !== true) close(true);
  else if (copies !== undefined && copies.length >= messageCopies) close(false);
  return messages;
}

function majority(copies: readonly (readonly Signal[])[]): ReadMessage | undefined {
  for (const signals of copies) {
    const agreeing = copies.filter((other) => other.join() === signals.join()).length;
    const verdict = verdictOf(signals);
    if (agreeing >= 2 && verdict !== undefined) return { verdict, signals, agreeing, heard: copies.length };
  }
  return undefined;
}

function spell(number: number, signals: number): Signal[] {
  return Array.from({ length: signals }, (_, k) =>
    ((number >> (signals - 1 - k)) & 1) === 1 ? "long" : "short",
  );
}

function within(value: number, maximum: number, what: string): number {
  if (!Number.isInteger(value) || value < 0 || value > maximum)
    throw new RangeError(`a ${what} of the beacon's code is 0 to ${maximum}, got ${value}`);
  return value;
}
