import type { Engine } from "./engine.js";
import { planeCount, planeShift, putValue } from "./planes.js";

/** What a driver puts out on the healthy board: as the board file says, else `usual`. */
export function putResting(engine: Engine, driver: number, usual: number, out: Int32Array): void {
  if (engine.findingHealth) {
    putValue(out, 0, usual, engine.allPhases);
    putGiven(engine, driver, out);
    return;
  }
  const at = driver << planeShift;
  for (let p = 0; p < planeCount - 1; p += 1) out[p] = engine.healthyDrive[at + p] as number;
  out[6] = 0;
}

/** Puts the levels the board file gives for a driver's net over a value, in the phases for which it gives any. */
export function putGiven(engine: Engine, driver: number, out: Int32Array): void {
  const net = engine.drivers[driver]?.net ?? -1;
  const phases = net < 0 ? 0 : (engine.givenIn[net] as number);
  if (phases === 0) return;
  const at = net << planeShift;
  for (let p = 0; p < planeCount; p += 1) {
    out[p] = ((out[p] as number) & ~phases) | ((engine.given[at + p] as number) & phases);
  }
}
