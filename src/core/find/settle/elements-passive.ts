import { restingDrive } from "./elements-memory.js";
import { type Element, type Engine, Supply } from "./engine.js";
import { Level, levelMask, moves, wrongFlag } from "./value.js";

/** A part that passes its source net's value on to a net with no driver of its own: resistor, link, switch, diode. */
export function seriesElement(options: {
  part: number;
  source: number;
  driver: number;
  /** A coupling capacitor passes only what moves. */
  blocksSteady: boolean;
}): Element {
  return {
    part: options.part,
    inputs: [],
    follows: [options.source],
    supplies: [],
    drivers: [options.driver],
    evaluate(engine: Engine, phases: number): void {
      for (let phase = 0; phase < engine.phaseCount; phase += 1) {
        if (!((phases >> phase) & 1)) continue;
        let value = engine.values[options.source * engine.phaseCount + phase] as number;
        if (options.blocksSteady && !moves(value) && (value & levelMask) !== Level.floating) {
          value = Level.steady | (value & wrongFlag);
        }
        engine.setDrive(options.driver, phase, value, Supply.good);
      }
    },
  };
}

/**
 * An output that is right if all it depends on is right: analogue parts, transistors, timers, unknown chips.
 * It stands still if nothing it depends on moves, and moves with wrong information otherwise.
 */
export function followsElement(options: {
  part: number;
  inputs: readonly number[];
  supplies: readonly number[];
  driver: number;
  usual: number;
  partTime: number;
}): Element {
  return {
    part: options.part,
    inputs: options.inputs,
    supplies: options.supplies,
    drivers: [options.driver],
    evaluate(engine: Engine): void {
      const supply = engine.supplyOf(this);
      let wrong = false;
      let moving = false;
      if (!engine.findingHealth) {
        for (const pin of options.inputs) {
          let seen = -1;
          for (let phase = 0; phase < engine.phaseCount; phase += 1) {
            const value = engine.readPin(pin, phase);
            wrong ||= (value & wrongFlag) !== 0;
            moving ||= moves(value) || (seen >= 0 && seen !== (value & levelMask));
            seen = value & levelMask;
          }
        }
      }
      for (let phase = 0; phase < engine.phaseCount; phase += 1) {
        const healthy = restingDrive(engine, options.driver, phase, options.usual);
        const value = !wrong ? healthy : (moving ? Level.pulsing : Level.steady) | wrongFlag;
        const released = (healthy & levelMask) === Level.floating && !wrong;
        engine.setDrive(options.driver, phase, released ? healthy : value | options.partTime, supply);
      }
    },
  };
}

/** A partner beyond a connector, or an oscillator module: always as on the healthy board, if it is supplied. */
export function steadySourceElement(options: {
  part: number;
  supplies: readonly number[];
  driver: number;
  usual: number;
}): Element {
  return {
    part: options.part,
    inputs: [],
    supplies: options.supplies,
    drivers: [options.driver],
    evaluate(engine: Engine): void {
      const supply = engine.supplyOf(this);
      for (let phase = 0; phase < engine.phaseCount; phase += 1) {
        engine.setDrive(
          options.driver,
          phase,
          restingDrive(engine, options.driver, phase, options.usual),
          supply,
        );
      }
    },
  };
}

/** A crystal: keeps its far side swinging as long as the amplifier on its near side moves. */
export function crystalElement(options: { part: number; near: number; driver: number }): Element {
  return {
    part: options.part,
    inputs: [],
    follows: [options.near],
    supplies: [],
    drivers: [options.driver],
    evaluate(engine: Engine): void {
      const at = options.near * engine.phaseCount;
      for (let phase = 0; phase < engine.phaseCount; phase += 1) {
        const value = engine.values[at + phase] as number;
        const swinging = engine.findingHealth || moves(value);
        const result = swinging
          ? Level.pulsing | (engine.findingHealth ? 0 : value & wrongFlag)
          : Level.steady | wrongFlag;
        engine.setDrive(options.driver, phase, result, Supply.good);
      }
    },
  };
}

const railOrder: readonly number[] = [
  Level.railAbsent,
  Level.railLow,
  Level.railRippled,
  Level.railHigh,
  Level.railGood,
];

/** A regulator, rectifier, fuse, coil or link that feeds a rail: as good as the worst of what feeds it. */
export function supplyElement(options: {
  part: number;
  sources: readonly number[];
  driver: number;
}): Element {
  return {
    part: options.part,
    inputs: [],
    follows: options.sources,
    supplies: [],
    drivers: [options.driver],
    evaluate(engine: Engine): void {
      let worst: number = Level.railGood;
      for (const source of options.sources) {
        const level = (engine.values[source * engine.phaseCount] as number) & levelMask;
        const known = railOrder.includes(level) ? level : Level.railAbsent;
        if (railOrder.indexOf(known) < railOrder.indexOf(worst)) worst = known;
      }
      for (let phase = 0; phase < engine.phaseCount; phase += 1)
        engine.setDrive(options.driver, phase, worst, Supply.good);
    },
  };
}
