import { CpuZ80 } from "../../cpu/cpu-z80.js";
import { type Burst, beaconUnits, readMessages, type Verdict } from "./beacon.js";
import type { ListingRow, SelfTestImage } from "./image.js";
import type { SelfTestPlan } from "./plan.js";

/** What an image did in one trial on a bare processor core. */
export interface Trial {
  readonly title: string;
  readonly expected: Verdict["kind"];
  /** Verdicts of the complete messages; empty if none came in time. */
  readonly verdicts: readonly Verdict[];
  /** Clock cycles from reset to the end of the last of these messages. */
  readonly cycles: number;
  readonly passed: boolean;
  /** Why the processor stopped, if it did. */
  readonly stopped?: string;
}

/** The result of all trials of an image. */
export interface Verification {
  readonly passed: boolean;
  readonly trials: readonly Trial[];
}

interface Circumstances {
  readonly title: string;
  readonly expected: Verdict["kind"];
  readonly hasMemory: boolean;
  readonly rom: Uint8Array;
}

/** More than the slowest round takes at the longest unit, and a bound for an image that says nothing. */
const maximumCycles = 4e9;
const stepsBetweenLooks = 4096;

/** Short waits for a trial, so that it is not mostly waiting. */
export const trialWaits = { unitSeconds: 0.001, retentionSeconds: 0.01 };

/**
 * Runs the self-test of a plan on a bare core, as {@link verifySelfTest}, with short waits: the image that is run is the
 * one of the plan but for the counts of the waiting loops. Any other difference is a failed trial.
 */
export function verifyPlan(
  plan: SelfTestPlan,
  image: SelfTestImage,
  generate: (plan: SelfTestPlan) => SelfTestImage,
  onProgress?: (cycles: number) => void,
): Verification {
  const quick = { ...plan, ...trialWaits };
  const twin = generate(quick);
  const isTwin =
    twin.rows.length === image.rows.length &&
    twin.rows.every((row, k) => isSameButCount(row, image.rows[k], k === twin.rows.length - 1));
  const result = verifySelfTest(quick, twin, onProgress);
  return isTwin ? result : { ...result, passed: false };
}

/**
 * Runs an image on a bare core: with good memory, without any memory, and with one wrong bit in its own ROM. An image that
 * does not say so each time must not be written. `onProgress` is called now and then with the clock cycles so far.
 * Throws `RangeError` for a processor that there is no core for.
 */
export function verifySelfTest(
  plan: SelfTestPlan,
  image: SelfTestImage,
  onProgress?: (cycles: number) => void,
): Verification {
  const flawed = image.bytes.slice();
  const place = flawed.length - 3;
  flawed[place] = (flawed[place] ?? 0) ^ 1;
  const trials = [
    trial(
      plan,
      { title: "no memory at all", expected: "no-answer", hasMemory: false, rom: image.bytes },
      onProgress,
    ),
    trial(
      plan,
      { title: "one wrong bit in the ROM", expected: "rom", hasMemory: true, rom: flawed },
      onProgress,
    ),
    trial(plan, { title: "good memory", expected: "good", hasMemory: true, rom: image.bytes }, onProgress),
  ];
  return { passed: trials.every(({ passed }) => passed), trials };
}

/** True for the same instruction at the same place; the count of a waiting loop and the sum at the end may differ. */
function isSameButCount(row: ListingRow, other: ListingRow | undefined, isSum: boolean): boolean {
  if (other === undefined || row.address !== other.address || row.label !== other.label) return false;
  if (row.bytes.length !== other.bytes.length) return false;
  const count = /^ld hl,\d+$/;
  return row.source === other.source || isSum || (count.test(row.source) && count.test(other.source));
}

function trial(
  plan: SelfTestPlan,
  { title, expected, hasMemory, rom }: Circumstances,
  onProgress: ((cycles: number) => void) | undefined,
): Trial {
  const beacon = new BeaconEar(plan.unitSeconds * plan.clockHertz);
  const cpu: CpuZ80 = coreOf(plan, rom, hasMemory, () => beacon.hear(cpu.tStates));
  cpu.reset();
  let heard: readonly Verdict[] = [];
  for (let steps = 1; cpu.stopped === undefined && cpu.tStates < maximumCycles; steps += 1) {
    cpu.step();
    if (steps % stepsBetweenLooks !== 0) continue;
    onProgress?.(cpu.tStates);
    heard = beacon.messages(cpu.tStates);
    const last = heard.at(-1);
    if (last !== undefined && last.kind !== "main-good") break;
  }
  const passed =
    heard.at(-1)?.kind === expected && heard.slice(0, -1).every(({ kind }) => kind === "main-good");
  const stopped = cpu.stopped?.reason;
  return {
    title,
    expected,
    verdicts: heard,
    cycles: cpu.tStates,
    passed,
    ...(stopped === undefined ? {} : { stopped }),
  };
}

function coreOf(plan: SelfTestPlan, rom: Uint8Array, hasMemory: boolean, onTouch: () => void): CpuZ80 {
  if (plan.processor.instructionSet !== "z80")
    throw new RangeError(`there is no core here for a ${plan.processor.instructionSet}`);
  const memory = new Uint8Array(0x10000).fill(0xff);
  memory.set(rom, plan.rom.start);
  const isWritable = new Uint8Array(0x10000);
  if (hasMemory)
    for (const { array } of plan.banks)
      for (const { from, to } of array.ranges) isWritable.fill(1, from, to + 1);
  const { bus } = plan;
  const isBusPort = (port: number): boolean => bus.space === "io" && (port & 0xff) === (bus.address & 0xff);
  const read = (address: number): number => memory[address] ?? 0xff;
  return new CpuZ80({
    fetch: read,
    read: (address) => {
      if (bus.space === "memory" && address === bus.address) onTouch();
      return read(address);
    },
    write: (address, value) => {
      if (isWritable[address] === 1) memory[address] = value;
    },
    input: (port) => {
      if (isBusPort(port)) onTouch();
      return 0xff;
    },
    output: () => {},
  });
}

/** Hears the bus beacon: joins its moments to bursts as they come. */
class BeaconEar {
  readonly #unitCycles: number;
  readonly #bursts: Burst[] = [];
  #from = 0;
  #to: number | undefined;
  #last = 0;

  constructor(unitCycles: number) {
    this.#unitCycles = unitCycles;
  }

  hear(moment: number): void {
    if (this.#to !== undefined && moment - this.#to >= this.#unitCycles / 2) this.#close(this.#to);
    if (this.#to === undefined) this.#from = moment;
    this.#to = moment;
    this.#last = moment;
  }

  /** Verdicts of the complete messages. The last is complete when the silence is longer than any within a message. */
  messages(now: number): readonly Verdict[] {
    const isOver = now - this.#last >= (beaconUnits.pause + 2) * this.#unitCycles;
    if (isOver && this.#to !== undefined) this.#close(this.#to);
    return readMessages(this.#bursts, this.#unitCycles, { isRunning: !isOver }).map(({ verdict }) => verdict);
  }

  #close(to: number): void {
    this.#bursts.push({ from: this.#from, to });
    this.#to = undefined;
  }
}
