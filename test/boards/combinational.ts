import type { Board } from "../../src/core/board/board.js";
import type { Expression } from "../../src/core/board/expression.js";
import { type Bit, evaluateThreeValued } from "./moments.js";
import type { PartTypes } from "./support.js";

interface Gate {
  readonly expression: Expression;
  readonly netOf: (pin: string) => string | undefined;
}

/**
 * Levels of nets behind gates, worked out on demand from the levels of a few given nets: fast enough to walk through
 * every count of a counter chain. Knows outputs that always drive; a net without one is unknown unless given.
 */
export function combinationalLevels(
  board: Board,
  types: PartTypes,
): (given: ReadonlyMap<string, boolean>) => (net: string) => Bit {
  const gates = new Map<string, Gate>();
  for (const part of board.parts) {
    const type = types.get(part.type);
    if (type?.behaviour.kind !== "logic" || type.pins === "as-board") continue;
    const numbers = new Map(type.pins.map((pin) => [pin.name, pin.number]));
    const netOf = (pin: string): string | undefined => part.pins[numbers.get(pin) ?? ""];
    for (const [pin, expression] of Object.entries(type.behaviour.outputs)) {
      const net = netOf(pin);
      if (net !== undefined && type.behaviour.enables?.[pin] === undefined)
        gates.set(net, { expression, netOf });
    }
  }
  const rails = new Set(board.rails.map((rail) => rail.net));
  return (given) => {
    const known = new Map<string, Bit>(given);
    const levelOf = (net: string): Bit => {
      if (net === board.ground) return false;
      if (rails.has(net)) return true;
      if (known.has(net)) return known.get(net);
      const gate = gates.get(net);
      if (gate === undefined) return undefined;
      known.set(net, undefined);
      const level = evaluateThreeValued(gate.expression, (pin) => {
        const source = gate.netOf(pin);
        return source === undefined ? undefined : levelOf(source);
      });
      known.set(net, level);
      return level;
    };
    return levelOf;
  };
}
