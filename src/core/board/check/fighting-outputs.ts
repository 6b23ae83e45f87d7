import { type CircuitView, describePins } from "./circuit-view.js";
import type { Finding } from "./finding.js";

/**
 * Nets that an output which never lets go shares with another driver: whichever wins, both are overloaded.
 * Tri-state outputs may share a net with one another, and so may open collectors; whether a port pin that can be
 * either is used as an output is the program's business, so it is no driver here.
 */
export function findFightingOutputs({ pinsOfNet }: CircuitView): Finding[] {
  const findings: Finding[] = [];
  for (const [net, pins] of pinsOfNet) {
    const always = pins.filter((pin) => pin.kind === "out");
    const sometimes = pins.filter((pin) => pin.kind === "tri" || pin.kind === "oc");
    if (always.length === 0 || always.length + sometimes.length < 2) continue;
    const others = always.length > 1 ? "they drive against each other" : "it never lets go of the net";
    findings.push({
      rule: "fighting-outputs",
      at: net,
      message: `Net ${net} is driven by ${describePins([...always, ...sometimes])}; ${others}.`,
      severity: "error",
    });
  }
  return findings;
}
