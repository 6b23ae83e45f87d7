import type { PartType } from "./part-type.js";

/** All pin numbers of a type; undefined if it takes any pins the board gives it. */
export function pinNumbersOf(type: PartType): ReadonlySet<string> | undefined {
  return type.pins === "as-board" ? undefined : new Set(type.pins.map((pin) => pin.number));
}
