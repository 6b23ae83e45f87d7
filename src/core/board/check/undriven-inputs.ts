import { type CircuitView, describePins, type ViewPin } from "./circuit-view.js";
import type { Finding } from "./finding.js";

/** Nets on which inputs listen but nothing speaks: no output, outside connection or supply, not even through passive parts. */
export function findUndrivenInputs(view: CircuitView): Finding[] {
  const driven = drivenNets(view);
  const findings: Finding[] = [];
  for (const [net, pins] of view.pinsOfNet) {
    if (driven.has(net)) continue;
    const inputs = pins.filter((pin) => pin.kind === "in");
    if (inputs.length === 0) continue;
    findings.push({
      rule: "undriven-input",
      at: net,
      message: `Nothing drives net ${net}, which ${describePins(inputs)} ${inputs.length === 1 ? "reads" : "read"}.`,
      severity: "error",
    });
  }
  return findings;
}

/** Nets with a source of their own, and all that passive parts join to one; a way does not go on through a supply net. */
function drivenNets({ pinsOfNet, conductors, isSupply }: CircuitView): Set<string> {
  const driven = new Set<string>();
  const waiting: string[] = [];
  const reach = (net: string): void => {
    if (driven.has(net)) return;
    driven.add(net);
    if (!isSupply(net)) waiting.push(net);
  };
  for (const [net, pins] of pinsOfNet) {
    if (isSupply(net)) {
      driven.add(net);
      // A pull resistor or a switch to a supply gives the net beyond it a level.
      for (const { to, through } of conductors.get(net) ?? []) if (through !== "capacitor") reach(to);
    } else if (pins.some(isSource)) {
      reach(net);
    }
  }
  for (let net = waiting.pop(); net !== undefined; net = waiting.pop()) {
    for (const { to } of conductors.get(net) ?? []) reach(to);
  }
  return driven;
}

function isSource({ kind, type, name }: ViewPin): boolean {
  if (kind === "out" || kind === "tri" || kind === "oc" || kind === "bidir" || kind === "power") return true;
  if (kind !== "passive") return false;
  const { behaviour } = type;
  switch (behaviour.kind) {
    case "plain":
      return behaviour.as === "connector" || behaviour.as === "keyboard" || behaviour.as === "crystal";
    case "follows":
      // Of a transistor the collector and emitter act, the base only listens.
      return Object.hasOwn(behaviour.outputs, name);
    default:
      return true;
  }
}
