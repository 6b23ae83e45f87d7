import { type CircuitView, describePin, pinPlace, type ViewPin } from "./circuit-view.js";
import type { Finding } from "./finding.js";

/** Supply pins that are on no rail or on one of the wrong voltage, and ground pins that are not on ground. */
export function findWrongRails(view: CircuitView): Finding[] {
  return view.pins.flatMap((pin): Finding[] => {
    const flaw = pin.net === undefined ? undefined : flawOf(view, pin, pin.net);
    return flaw === undefined
      ? []
      : [{ rule: "wrong-rail", at: pinPlace(pin), message: flaw, severity: "error" }];
  });
}

function flawOf(view: CircuitView, pin: ViewPin, net: string): string | undefined {
  const what = `${describePin(pin)} of the ${pin.type.type}`;
  if (pin.kind === "ground")
    return net === view.board.ground ? undefined : `${what} belongs on ground, but is on ${net}.`;
  if (pin.kind !== "power") return undefined;
  const volt = view.voltOf(net);
  if (volt === undefined) return `${what} is on ${net}, which is not listed as a rail.`;
  const rail = pin.type.rails.find((candidate) => candidate.pin === pin.name);
  if (rail === undefined || (volt >= rail.minimumVolt && volt <= rail.maximumVolt)) return undefined;
  const range =
    rail.minimumVolt === rail.maximumVolt
      ? `${rail.minimumVolt} V`
      : `${rail.minimumVolt} to ${rail.maximumVolt} V`;
  return `${what} takes ${range}, but ${net} carries ${volt} V.`;
}
