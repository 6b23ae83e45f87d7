import type { Technology } from "../part-type.js";
import { type CircuitView, describePin, pinPlace } from "./circuit-view.js";
import type { Finding } from "./finding.js";

const bipolar: ReadonlySet<Technology> = new Set(["ttl", "s-ttl", "ls-ttl", "linear"]);

/**
 * Inputs left open. An open TTL input acts as high but picks up noise; an open MOS input takes any level, and in CMOS
 * the gate may draw current or oscillate (common practice, no source).
 */
export function findOpenInputs({ pins }: CircuitView): Finding[] {
  return pins.flatMap((pin): Finding[] => {
    if (pin.kind !== "in" || pin.net !== undefined) return [];
    const isBipolar = bipolar.has(pin.type.technology);
    const effect = isBipolar ? "it acts as high at best and picks up noise" : "its level is anybody's guess";
    return [
      {
        rule: "open-input",
        at: pinPlace(pin),
        message: `Input ${describePin(pin)} of the ${pin.type.type} is left open; ${effect}.`,
        severity: isBipolar ? "warning" : "error",
      },
    ];
  });
}
