import { isChip } from "../../board/check/circuit-view.js";
import type { PartType } from "../../board/part-type.js";
import type { Circuit } from "../settle/build.js";

/** How much of a board the model cannot see into. */
export interface Blindness {
  /** Chips of unknown function, in the order of the board. */
  readonly unknown: readonly string[];
  /** All chips. */
  readonly chips: number;
  /** Signal nets that only such chips drive. */
  readonly nets: number;
  /** Signal nets that some part drives. */
  readonly drivenNets: number;
}

/** Counts the chips that take part by the cautious rule alone, and the nets that come from nothing else. */
export function blindnessOf({ wiring, engine }: Pick<Circuit, "wiring" | "engine">): Blindness {
  const isUnknown = (type: PartType | undefined): boolean => type?.behaviour.kind === "cautious";
  const chips = wiring.parts.filter(({ type }) => isChip(type));
  const makers = new Map<number, boolean>();
  for (const { net, part } of engine.drivers) {
    if (net < 0 || wiring.netDuty[net] !== 0 || part < 0) continue;
    makers.set(net, (makers.get(net) ?? true) && isUnknown(wiring.parts[part]?.type));
  }
  return {
    unknown: chips.filter(({ type }) => isUnknown(type)).map(({ part }) => part.ref),
    chips: chips.length,
    nets: [...makers.values()].filter(Boolean).length,
    drivenNets: makers.size,
  };
}

const mostNamed = 6;

/** Up to six names, and how many more there are. */
export function namesInShort(names: readonly string[]): string {
  const more = names.length - mostNamed;
  return names.slice(0, mostNamed).join(", ") + (more > 0 ? ` and ${more} more` : "");
}

/** One sentence for people; undefined where nothing is hidden. */
export function blindnessSentence({ unknown, chips, nets, drivenNets }: Blindness): string | undefined {
  if (unknown.length === 0) return undefined;
  const are = unknown.length === 1 ? "is" : "are";
  return `${unknown.length} of ${chips} chips ${are} of unknown function (${namesInShort(unknown)}): ${nets} of ${drivenNets} signal nets come from them alone. What is wrong there may be the chip or anything it listens to; readings of its inputs tell more than those of its outputs.`;
}
