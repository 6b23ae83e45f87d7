import type { Section } from "../../board/board.js";
import type { FaultSite } from "../faults/fault.js";
import type { RepairKind } from "../plan/costs.js";
import type { PreparedBoard } from "../prepare.js";
import type { CircuitPart } from "../settle/circuit.js";
import { repairStep } from "./policy.js";
import type { RepairAsked } from "./step.js";

/** Repairs by what they put right. */
const repairs: Readonly<Record<RepairKind, readonly FaultSite[]>> = {
  replace: ["part", "track", "bridge", "socket"],
  reseat: ["socket"],
  resolder: ["track", "bridge"],
  clean: ["bridge"],
};
const kinds: readonly RepairKind[] = ["replace", "reseat", "resolder", "clean"];

/**
 * Keeps account of how likely each part, contact and joint still is to be at fault, going by the failure rates alone,
 * and which repair gives most for its cost.
 */
export class RepairLedger {
  private readonly prepared: PreparedBoard;
  /** Odds left, by part and site. */
  private readonly odds = new Map<number, Map<FaultSite, number>>();
  private readonly done = new Set<string>();

  constructor(prepared: PreparedBoard) {
    this.prepared = prepared;
    for (const fault of prepared.list.faults) {
      const own = this.odds.get(fault.part) ?? new Map<FaultSite, number>();
      own.set(fault.site, (own.get(fault.site) ?? 0) + fault.odds);
      this.odds.set(fault.part, own);
    }
  }

  /** Repairs not done yet on the parts that `wanted` takes, best odds per cost first; of equals those in a socket. */
  best(wanted: (part: CircuitPart) => boolean, only: readonly RepairKind[] = kinds): RepairAsked | undefined {
    let best: RepairAsked | undefined;
    let bestScore = 0;
    for (const part of this.prepared.circuit.wiring.parts) {
      if (!this.odds.has(part.index) || !wanted(part)) continue;
      for (const kind of only) {
        if (this.done.has(`${kind}:${part.part.ref}`)) continue;
        const step = repairStep(this.prepared, part.part.ref, kind);
        const handicap = part.part.socketed === true ? 1 + 1e-9 : 1;
        const score = (handicap * this.oddsOf(part.index, kind)) / this.costOf(step);
        if (score > bestScore) {
          bestScore = score;
          best = step;
        }
      }
    }
    return best;
  }

  /** Odds that a repair would put the machine right. */
  oddsOf(part: number, kind: RepairKind): number {
    let sum = 0;
    for (const site of repairs[kind]) sum += this.odds.get(part)?.get(site) ?? 0;
    return sum;
  }

  /** Odds left on all the parts that `wanted` takes. */
  oddsOn(wanted: (part: CircuitPart) => boolean): number {
    let sum = 0;
    for (const part of this.prepared.circuit.wiring.parts)
      if (wanted(part)) sum += this.oddsOf(part.index, "replace");
    return sum;
  }

  /** Minutes, risk and money of a repair, as minutes. */
  costOf(step: RepairAsked): number {
    return step.minutes + step.riskMinutes + step.money * this.prepared.data.costs.minutesPerPriceUnit;
  }

  /** A repair was done and the machine still fails. */
  failed(step: RepairAsked): void {
    this.done.add(step.id);
    const { errors } = this.prepared.data.model;
    const left = step.repair === "reseat" ? 1 - errors.reseatCures : errors.replacementBad;
    const own = this.odds.get(this.prepared.circuit.wiring.partIndex.get(step.part) ?? -1);
    for (const site of repairs[step.repair]) own?.set(site, (own.get(site) ?? 0) * left);
  }
}

/** True for parts of a section. Supply parts and blocking capacitors are left out: the rails were measured good. */
export function inSection(prepared: PreparedBoard, section: Section): (part: CircuitPart) => boolean {
  return (part) => part.part.section === section && !onlySupplies(prepared, part);
}

/** Parts that sit between rails and ground only: if one were bad, a rail would be. */
export function onlySupplies(prepared: PreparedBoard, part: CircuitPart): boolean {
  const { pins, netDuty } = prepared.circuit.wiring;
  return part.pins.every((pin) => {
    const net = pins[pin]?.net ?? -1;
    return net < 0 || netDuty[net] !== 0;
  });
}
