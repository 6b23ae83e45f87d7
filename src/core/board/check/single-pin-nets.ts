import type { CircuitView } from "./circuit-view.js";
import type { Finding } from "./finding.js";

/**
 * Nets with one pin only: a wire that leads nowhere, or a name misspelt at one end. A lone input is not listed here,
 * because it is an undriven one.
 */
export function findSinglePinNets({ board, pinCounts, pinsOfNet, isSupply }: CircuitView): Finding[] {
  return board.parts.flatMap((part) =>
    Object.entries(part.pins).flatMap(([number, net]): Finding[] => {
      if (pinCounts.get(net) !== 1 || isSupply(net)) return [];
      if (pinsOfNet.get(net)?.some((pin) => pin.kind === "in") === true) return [];
      const message = `Net ${net} has no pin but ${part.ref}.${number}; it leads nowhere, or its name is misspelt at one end.`;
      return [{ rule: "single-pin-net", at: net, message, severity: "warning" }];
    }),
  );
}
