import type { MapPart } from "../../core/draw/board-map.js";
import { percentText } from "../../core/draw/suspicion.js";
import type { Spot } from "./scene.js";

/** A spot in words, for the line under the map and for screen readers. */
export function spotText(parts: readonly MapPart[], spot: Spot, chance: number | undefined): string {
  const part = parts.find((one) => one.ref === spot.ref);
  if (part === undefined) return spot.ref;
  const suspected = chance === undefined || chance < 0.001 ? "" : `, suspected to ${percentText(chance)}`;
  if (spot.pin === null) {
    const value = part.value === undefined ? "" : ` ${part.value}`;
    return `${part.ref}, ${part.type}${value}${part.socketed ? ", in a socket" : ""}${suspected}`;
  }
  const pin = part.pins.find((one) => one.pin === spot.pin);
  const name = pin === undefined || pin.name === "" ? "" : ` ${pin.name}`;
  const line = pin === undefined || pin.net === null ? "left open" : `line ${pin.net}`;
  return `${part.ref} pin ${spot.pin}${name}, ${line}`;
}
