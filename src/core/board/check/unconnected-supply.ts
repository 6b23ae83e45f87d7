import { type CircuitView, describePin, pinPlace } from "./circuit-view.js";
import type { Finding } from "./finding.js";

/** Supply and ground pins that are on no net. */
export function findUnconnectedSupply({ pins }: CircuitView): Finding[] {
  return pins.flatMap((pin): Finding[] => {
    if (pin.net !== undefined || (pin.kind !== "power" && pin.kind !== "ground")) return [];
    const volt = pin.type.rails.find((rail) => rail.pin === pin.name)?.nominalVolt;
    // A supply pin without a stated voltage is one the part can do without, such as an unused winding.
    const isNeeded = volt !== undefined || pin.kind === "ground";
    const expected = pin.kind === "ground" ? "ground" : volt === undefined ? "a supply" : `${volt} V`;
    return [
      {
        rule: "unconnected-supply",
        at: pinPlace(pin),
        message: `${describePin(pin)} of the ${pin.type.type} is left open; it takes ${expected}.`,
        severity: isNeeded ? "error" : "warning",
      },
    ];
  });
}
