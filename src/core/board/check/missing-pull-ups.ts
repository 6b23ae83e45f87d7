import { type CircuitView, describePins } from "./circuit-view.js";
import type { Finding } from "./finding.js";

/** Nets that only open collectors drive and inputs read, with no way to a positive rail that would make them high. */
export function findMissingPullUps(view: CircuitView): Finding[] {
  const findings: Finding[] = [];
  for (const [net, pins] of view.pinsOfNet) {
    const open = pins.filter((pin) => pin.kind === "oc");
    const hasListener = pins.some((pin) => pin.kind === "in");
    const hasOther = pins.some((pin) => pin.kind === "out" || pin.kind === "tri" || pin.kind === "bidir");
    if (open.length === 0 || !hasListener || hasOther || view.isSupply(net) || reachesPositiveRail(view, net))
      continue;
    const leavesBoard = pins.some(
      (pin) => pin.type.behaviour.kind === "plain" && pin.type.behaviour.as === "connector",
    );
    const partner = leavesBoard ? " unless the other side of the connector has one" : "";
    findings.push({
      rule: "missing-pull-up",
      at: net,
      message: `Net ${net} is driven by ${describePins(open)} alone, which cannot make it high; it needs a pull-up resistor${partner}.`,
      severity: leavesBoard ? "warning" : "error",
    });
  }
  return findings;
}

/** True if current can flow from a positive rail into the net through passive parts. */
function reachesPositiveRail({ conductors, voltOf }: CircuitView, net: string): boolean {
  const seen = new Set([net]);
  const waiting = [net];
  for (let at = waiting.pop(); at !== undefined; at = waiting.pop()) {
    for (const { to, through } of conductors.get(at) ?? []) {
      if (through === "capacitor" || seen.has(to)) continue;
      seen.add(to);
      const volt = voltOf(to);
      if (volt !== undefined && volt > 0) return true;
      if (volt === undefined) waiting.push(to);
    }
  }
  return false;
}
