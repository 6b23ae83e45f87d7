import type { FaultSpace } from "../reason/space.js";
import { type FindCosts, type RepairCost, type RepairKind, repairCost, repairOf } from "./costs.js";
import type { LiveHypothesis } from "./problem.js";

/** A repair that would end something live. */
export interface RepairOption {
  readonly id: string;
  /** Index of the part on the board. */
  readonly part: number;
  readonly kind: RepairKind;
  /** Live hypotheses that it ends, or helps to end. */
  readonly fixes: readonly number[];
  readonly cost: RepairCost;
}

// A narrower repair (joints, bridges) is an option beside replacing if it has this share of what is wrong at the part.
const narrowShare = 0.25;

/**
 * One repair for each part and kind of repair that would end something still live. Replacing a soldered part also
 * renews its joints and clears what bridged them; a socketed one only changes the part.
 * `spares`: part types in the drawer, which cost nothing.
 */
export function repairOptions(
  space: FaultSpace,
  live: readonly LiveHypothesis[],
  costs: FindCosts,
  spares: ReadonlySet<string>,
): RepairOption[] {
  const masses = new Map<string, number>();
  const massAt = (part: number, kind: RepairKind): number => masses.get(`${kind}:${part}`) ?? 0;
  for (const one of live) {
    for (const fault of one.faults) {
      const key = `${repairOf(fault)}:${fault.part}`;
      masses.set(key, (masses.get(key) ?? 0) + one.weight);
    }
  }
  const fixes = new Map<string, { part: number; kind: RepairKind; list: Set<number> }>();
  const add = (kind: RepairKind, part: number, hypothesis: number): void => {
    const id = `${kind}:${space.circuit.wiring.parts[part]?.part.ref}`;
    const known = fixes.get(id) ?? { part, kind, list: new Set<number>() };
    known.list.add(hypothesis);
    fixes.set(id, known);
  };
  for (const [i, one] of live.entries()) {
    for (const fault of one.faults) {
      const kind = repairOf(fault);
      const socketed = space.circuit.wiring.parts[fault.part]?.part.socketed === true;
      if (
        socketed ||
        kind === "replace" ||
        massAt(fault.part, kind) >= narrowShare * massAt(fault.part, "replace")
      ) {
        add(kind, fault.part, i);
      }
      if (!socketed && kind !== "replace" && massAt(fault.part, "replace") > 0) add("replace", fault.part, i);
    }
  }
  return [...fixes].flatMap(([id, { part, kind, list }]): RepairOption[] => {
    const found = space.circuit.wiring.parts[part];
    if (found === undefined) return [];
    return [
      {
        id,
        part,
        kind,
        fixes: [...list].sort((a, b) => a - b),
        cost: repairCost(costs, found, kind, spares.has(found.type.type)),
      },
    ];
  });
}
