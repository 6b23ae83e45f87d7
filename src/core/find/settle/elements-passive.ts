import { Supply } from "./condition.js";
import type { Element, Engine } from "./engine.js";
import {
  copyValue,
  drivenPhases,
  levelAt,
  movingPhases,
  planeCount,
  planeShift,
  putValue,
} from "./planes.js";
import { putResting } from "./resting.js";
import { Level, wrongFlag } from "./value.js";

/** A part that passes its source net's value on to a net with no driver of its own: resistor, link, switch, diode. */
export function seriesElement(options: {
  part: number;
  source: number;
  driver: number;
  /** A coupling capacitor passes only what moves. */
  blocksSteady: boolean;
  /** One of several that share the net: what it passes on does not hold it alone. */
  mixes: boolean;
}): Element {
  const at = options.source << planeShift;
  const out = new Int32Array(planeCount);
  return {
    part: options.part,
    inputs: [],
    follows: [options.source],
    supplies: [],
    drivers: [options.driver],
    evaluate(engine: Engine): void {
      copyValue(engine.nets, at, out, 0);
      if (options.blocksSteady) {
        const blocked = drivenPhases(out, 0) & ~movingPhases(out, 0);
        const wrong = out[5] as number;
        putValue(out, 0, Level.steady, blocked);
        out[5] = wrong;
      }
      if (options.mixes) out[6] = drivenPhases(out, 0);
      engine.setDrive(options.driver, out, Supply.good);
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
  /** Several such outputs share a net: each is released for part of the time. */
  shared: boolean;
}): Element {
  const out = new Int32Array(planeCount);
  return {
    part: options.part,
    inputs: options.inputs,
    supplies: options.supplies,
    drivers: [options.driver],
    evaluate(engine: Engine): void {
      const all = engine.allPhases;
      if (!engine.findingHealth && engine.pins.anyWrongPhases(options.inputs) !== 0) {
        const moving = options.inputs.some((pin) => changes(engine, pin));
        putValue(out, 0, (moving ? Level.pulsing : Level.steady) | wrongFlag, all);
        if (options.shared) out[6] = all;
      } else {
        putResting(engine, options.driver, options.usual, out);
        if (options.shared) out[6] = drivenPhases(out, 0);
      }
      engine.setDrive(options.driver, out, engine.pins.supplyAt(this.supplies));
    },
  };
}

const seen = new Int32Array(planeCount);

/** True if what a pin reads moves in a phase, or is not the same in all phases. */
function changes(engine: Engine, pin: number): boolean {
  engine.pins.copyTo(seen, pin);
  if (movingPhases(seen, 0) !== 0) return true;
  for (let p = 0; p < 5; p += 1) if (seen[p] !== 0 && seen[p] !== engine.allPhases) return true;
  return false;
}

/** A partner beyond a connector, or an oscillator module: always as on the healthy board, if it is supplied. */
export function steadySourceElement(options: {
  part: number;
  supplies: readonly number[];
  driver: number;
  usual: number;
}): Element {
  const out = new Int32Array(planeCount);
  return {
    part: options.part,
    inputs: [],
    supplies: options.supplies,
    drivers: [options.driver],
    evaluate(engine: Engine): void {
      putResting(engine, options.driver, options.usual, out);
      engine.setDrive(options.driver, out, engine.pins.supplyAt(this.supplies));
    },
  };
}

/** A crystal: keeps its far side swinging as long as the amplifier on its near side moves. */
export function crystalElement(options: { part: number; near: number; driver: number }): Element {
  const at = options.near << planeShift;
  const out = new Int32Array(planeCount);
  return {
    part: options.part,
    inputs: [],
    follows: [options.near],
    supplies: [],
    drivers: [options.driver],
    evaluate(engine: Engine): void {
      const all = engine.allPhases;
      if (engine.findingHealth) putValue(out, 0, Level.pulsing, all);
      else {
        const swinging = movingPhases(engine.nets, at);
        putValue(out, 0, Level.steady | wrongFlag, all);
        putValue(out, 0, Level.pulsing, swinging);
        out[5] = (out[5] as number) | (engine.nets[at + 5] as number);
      }
      engine.setDrive(options.driver, out, Supply.good);
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
  const out = new Int32Array(planeCount);
  return {
    part: options.part,
    inputs: [],
    follows: options.sources,
    supplies: [],
    drivers: [options.driver],
    evaluate(engine: Engine): void {
      // A supply net carries the same in all phases; a level that no supply has counts as absent.
      let worst = railOrder.indexOf(Level.railGood);
      for (const source of options.sources) {
        const level = levelAt(engine.nets, source << planeShift, 0);
        worst = Math.min(worst, Math.max(0, railOrder.indexOf(level)));
      }
      putValue(out, 0, railOrder[worst] ?? Level.railAbsent, engine.allPhases);
      engine.setDrive(options.driver, out, Supply.good);
    },
  };
}
