import type { DraftNet } from "../read/netlist-draft.js";
import { anyGlobMatches } from "./glob.js";
import { readableNetNames } from "./net-names.js";
import type { PlacedPart } from "./placed-parts.js";
import type { RecognitionData } from "./recognition-data.js";

/** Parts whose nets have the names a board uses, and these names in the order of the netlist. */
export interface NamedNets {
  readonly parts: readonly PlacedPart[];
  readonly nets: readonly string[];
}

/**
 * Gives nets readable names, and opens pins that lead nowhere: those alone on a net that only the schematic program
 * has named. Counts pins as the parts have them, after jumpers were set.
 */
export function nameNets(
  parts: readonly PlacedPart[],
  nets: readonly DraftNet[],
  data: RecognitionData["nets"],
): NamedNets {
  const pinCounts = new Map<string, number>();
  for (const part of parts)
    for (const net of part.nets.values()) pinCounts.set(net, (pinCounts.get(net) ?? 0) + 1);
  const kept = nets
    .map((net) => net.name)
    .filter((name) => {
      const count = pinCounts.get(name) ?? 0;
      return count > 1 || (count === 1 && !anyGlobMatches(data.unnamed, name));
    });
  const names = readableNetNames(kept);
  const renamed = parts.map((part) => {
    const own = new Map<string, string>();
    for (const [pin, net] of part.nets) {
      const name = names.get(net);
      if (name !== undefined) own.set(pin, name);
    }
    return { ...part, nets: own };
  });
  return { parts: renamed, nets: kept.flatMap((name) => names.get(name) ?? []) };
}
