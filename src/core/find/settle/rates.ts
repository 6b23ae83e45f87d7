import type { Circuit } from "./build.js";
import { gatesOf, netAt, netsOf, type Register, registersOf } from "./clocked-parts.js";
import { simulateClock } from "./cycle-simulation.js";
import { planeShift, unionOf } from "./planes.js";
import { Level, levelMask } from "./value.js";

/**
 * Rate of each net of the healthy board in hertz, by net; 0 where it is not known or the net rests. Known are
 * - crystals and oscillators, by the frequency the board file gives,
 * - what passes a known rate on: resistors, links, capacitors, gates whose other inputs rest, a 6502's clock outputs,
 * - counters, flip-flops and the gates between them on a clock of known rate, by going through their states.
 *
 * A gate that mixes signals of different clocks has no one rate and gets none. Rates are averages: how often a net
 * rises in a second.
 */
export function healthyRates(circuit: Circuit): Float64Array {
  return new RateFinder(circuit).find();
}

class RateFinder {
  private readonly circuit: Circuit;
  private readonly rates: Float64Array;
  private readonly constant: Int8Array;
  private readonly gates;
  private readonly registers;
  private readonly simulated = new Set<number>();

  constructor(circuit: Circuit) {
    const { wiring, engine } = circuit;
    this.circuit = circuit;
    this.rates = new Float64Array(wiring.nets.length);
    this.constant = Int8Array.from(wiring.nets, (_, net) => {
      const level = unionOf(engine.healthy, net << planeShift, engine.allPhases) & levelMask;
      return level === Level.low ? 0 : level === Level.high || level === Level.railGood ? 1 : -1;
    });
    // What shares a net with others cannot be told from one of them.
    const alone = (net: number): boolean => engine.driversOfNet[net]?.length === 1;
    this.gates = gatesOf(wiring).filter((gate) => alone(gate.net));
    this.registers = registersOf(wiring);
  }

  find(): Float64Array {
    this.startAtSources();
    for (let again = true; again; ) {
      again = this.passOn();
      if (again) continue;
      again = this.simulateNext() || this.divide();
    }
    return this.rates;
  }

  /** Sets a rate where none is known and the healthy net moves; true if that is news. */
  private learn(net: number, rateHertz: number): boolean {
    if (net < 0 || !(rateHertz > 0) || (this.rates[net] as number) > 0 || this.constant[net] !== -1)
      return false;
    this.rates[net] = rateHertz;
    return true;
  }

  private startAtSources(): void {
    const { wiring, links } = this.circuit;
    for (const { part, type } of wiring.parts) {
      const rate = part.frequencyHertz ?? 0;
      const index = wiring.partIndex.get(part.ref) ?? -1;
      for (const link of links) {
        if (link.kind !== "crystal" || link.part !== index) continue;
        this.learn(link.from, rate);
        this.learn(link.to, rate);
      }
      const placed = wiring.parts[index];
      if (type.behaviour.kind === "oscillator" && placed !== undefined) {
        this.learn(netAt(wiring, placed, type.behaviour.output), rate);
      }
    }
  }

  /** One round of passing rates on; true if anything was learnt. */
  private passOn(): boolean {
    const { wiring, engine } = this.circuit;
    let news = false;
    for (const { net, from, mixes } of engine.drivers) {
      const only = engine.driversOfNet[net]?.length === 1;
      if (from !== undefined && mixes !== true && only && this.learn(net, this.rates[from] as number))
        news = true;
    }
    for (const gate of this.gates) {
      const moving = gate.inputs.filter((net) => net >= 0 && this.constant[net] === -1);
      const [only = -1, ...others] = moving;
      if (others.length === 0 && this.learn(gate.net, this.rates[only] ?? 0)) news = true;
    }
    for (const part of wiring.parts) {
      const behaviour = part.type.behaviour;
      if (behaviour.kind !== "processor" || behaviour.instructionSet !== "6502") continue;
      const clock = netAt(wiring, part, behaviour.clock[0] ?? "");
      for (const name of behaviour.clockOutputs ?? []) {
        if (this.learn(netAt(wiring, part, name), this.rates[clock] ?? 0)) news = true;
      }
    }
    return news;
  }

  /** Goes through the states of the registers on one clock not yet looked at; true if there was one. */
  private simulateNext(): boolean {
    const { wiring } = this.circuit;
    const clock = this.registers.find(
      ({ clockNet }) => !this.simulated.has(clockNet) && (this.rates[clockNet] ?? 0) > 0,
    )?.clockNet;
    if (clock === undefined) return false;
    this.simulated.add(clock);
    const counts = simulateClock(wiring, clock, this.constant, this.gates, this.registers);
    for (const [net, rises] of counts?.rises ?? []) {
      this.learn(net, ((this.rates[clock] as number) * rises) / (counts?.period ?? 1));
    }
    return true;
  }

  /** Rates of counters that run freely but could not be gone through; true if anything was learnt. */
  private divide(): boolean {
    let news = false;
    for (const register of this.registers) {
      const rate = this.rates[register.clockNet] ?? 0;
      if (rate === 0 || !this.runsFreely(register)) continue;
      for (const { net, divides } of register.outputs) {
        if (divides !== undefined && this.learn(net, rate / divides)) news = true;
      }
    }
    return news;
  }

  private runsFreely({ part, behaviour }: Register): boolean {
    const { clear, preset, load, run } = behaviour;
    return netsOf(this.circuit.wiring, part, clear, preset, load, run).every(
      (net) => net < 0 || this.constant[net] !== -1,
    );
  }
}
