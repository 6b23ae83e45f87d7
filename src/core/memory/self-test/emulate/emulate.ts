import type { Board } from "../../../board/board.js";
import type { TypeSource } from "../../map/circuit.js";
import { type Burst, beaconUnits, readMessages, signalsOf, type Verdict } from "../beacon.js";
import type { SelfTestPlan } from "../plan.js";
import { meaningOf } from "../verdict-parts.js";
import type { BoardFault } from "./board-fault.js";
import { Machine } from "./machine.js";

/** A board with the types of its parts. */
export interface EmulatedBoard {
  readonly board: Board;
  readonly types: TypeSource;
}

/** How a self-test is run in emulation. */
export interface EmulationOptions {
  /** None if absent. */
  readonly fault?: BoardFault;
  /** The run ends here if nothing ends it before; {@link usualMaximumCycles} if absent. */
  readonly maximumCycles?: number;
  /** For what memory holds at power-on; 1 if absent. */
  readonly seed?: number;
  /** Called now and then; true ends the run. */
  readonly onProgress?: (cycles: number) => boolean | undefined;
  readonly onPort?: (moment: number, address: number, value: number) => void;
}

/** What the beacon said. */
export interface Emulation {
  /** Verdicts of one round of the test, in order, each once; empty if the beacon said nothing. */
  readonly verdicts: readonly Verdict[];
  /** Parts to look at, the likeliest first. */
  readonly parts: readonly string[];
  /** The signals of each verdict, `S` short and `L` long: `LS LLL`. */
  readonly beacon: string;
  /** Clock cycles until the run was ended. */
  readonly cycles: number;
  /** Times in which the select line was active. */
  readonly bursts: readonly Burst[];
  readonly ended: "round" | "cycles" | "stopped" | "cancelled";
  /** Why the processor stopped, if it did. */
  readonly reason?: string;
}

/** Cycles after which a run is given up: more than a round over 64 KiB with all its messages. */
export const usualMaximumCycles = 4e9;

const stepsBetweenLooks = 2048;

/**
 * Runs a ROM image on the bare processor of a board, with the board's memory and one fault at most, and reads its bus
 * beacon until a round is over: until the test touches memory again after it said something, or says a verdict again.
 * Throws `RangeError` for a fault at a place that is not there.
 */
export function emulateSelfTest(
  board: EmulatedBoard,
  plan: SelfTestPlan,
  image: Uint8Array,
  options: EmulationOptions = {},
): Emulation {
  const unitCycles = plan.unitSeconds * plan.clockHertz;
  const ear = new BeaconEar(unitCycles);
  let reads = 0;
  const machine = new Machine(
    board,
    plan,
    image,
    options.fault,
    {
      onSelect: (moment) => ear.hear(moment),
      onRead: (address) => {
        const band = plan.screen?.range;
        if (band === undefined || address < band.from || address > band.to) reads += 1;
      },
      ...(options.onPort === undefined ? {} : { onPort: options.onPort }),
    },
    options.seed ?? 1,
  );
  const limit = options.maximumCycles ?? usualMaximumCycles;
  let ended: Emulation["ended"] = "cycles";
  let bursts = -1;
  let readsAtMessage = -1;
  for (let steps = 1; machine.cycles < limit; steps += 1) {
    machine.step();
    if (machine.stopped !== undefined) {
      ended = "stopped";
      break;
    }
    if (steps % stepsBetweenLooks !== 0) continue;
    if (options.onProgress?.(machine.cycles) === true) {
      ended = "cancelled";
      break;
    }
    // After the end of a message the test goes on with memory: what was heard until then is a round.
    if (readsAtMessage >= 0 && reads > readsAtMessage + mostIdleReads) {
      ended = "round";
      break;
    }
    const isOver = ear.isSilent(machine.cycles);
    if (!isOver && ear.bursts.length === bursts) continue;
    bursts = ear.bursts.length;
    const heard = messagesOf(ear.bursts, unitCycles, !isOver);
    if (heard.length > 0 && readsAtMessage < 0) readsAtMessage = reads;
    // Before other banks are tested the beacon says that the main memory is good; that ends no round.
    if (heard.at(-1)?.kind === "main-good") readsAtMessage = -1;
    if (repeats(heard)) {
      ended = "round";
      break;
    }
  }
  ear.close();
  const verdicts = firstRound(messagesOf(ear.bursts, unitCycles, ended !== "round"));
  const said = verdicts.filter(({ kind }) => kind !== "main-good");
  const reason = machine.stopped?.reason;
  return {
    verdicts: said,
    parts: [...new Set(said.flatMap((verdict) => meaningOf(plan, verdict).parts))],
    beacon: said
      .map((verdict) =>
        signalsOf(verdict)
          .map((signal) => (signal === "long" ? "L" : "S"))
          .join(""),
      )
      .join(" "),
    cycles: machine.cycles,
    bursts: ear.bursts,
    ended,
    ...(reason === undefined ? {} : { reason }),
  };
}

function messagesOf(bursts: readonly Burst[], unitCycles: number, isRunning: boolean): Verdict[] {
  return readMessages(bursts, unitCycles, { isRunning }).map(({ verdict }) => verdict);
}

function repeats(verdicts: readonly Verdict[]): boolean {
  return firstRound(verdicts).length < verdicts.length;
}

/** Verdicts before the first that was said already. */
function firstRound(verdicts: readonly Verdict[]): Verdict[] {
  const end = verdicts.findIndex((verdict, k) =>
    verdicts.slice(0, k).some((other) => isSame(verdict, other)),
  );
  return verdicts.slice(0, end < 0 ? undefined : end);
}

/** Reads of memory that a message may make by the way; a test makes more. */
const mostIdleReads = 64;

/** True for the same verdict, with the same bank, bit and line. */
export function isSame(a: Verdict, b: Verdict): boolean {
  return a.kind === b.kind && signalsOf(a).join() === signalsOf(b).join();
}

/** Joins the moments of the select line to bursts as they come. */
class BeaconEar {
  readonly bursts: Burst[] = [];
  readonly #unitCycles: number;
  #from = 0;
  #to = -1;

  constructor(unitCycles: number) {
    this.#unitCycles = unitCycles;
  }

  hear(moment: number): void {
    if (this.#to >= 0 && moment - this.#to >= this.#unitCycles / 2) this.close();
    if (this.#to < 0) this.#from = moment;
    this.#to = moment;
  }

  /** True if it is silent for longer than within a message; the last burst is then complete. */
  isSilent(now: number): boolean {
    const last = this.#to >= 0 ? this.#to : (this.bursts.at(-1)?.to ?? now);
    if (now - last < (beaconUnits.pause + 2) * this.#unitCycles) return false;
    this.close();
    return true;
  }

  /** Ends the burst that is being heard. */
  close(): void {
    if (this.#to < 0) return;
    this.bursts.push({ from: this.#from, to: this.#to });
    this.#to = -1;
  }
}
