import type { Instrument } from "../case/case.js";
import type { Look } from "../evidence/look.js";
import { shortLook } from "../evidence/looks-passive.js";
import { placeNamed } from "../evidence/place-name.js";
import type { FaultSpace } from "../reason/space.js";
import type { FindCosts, TestKind } from "./costs.js";
import { ProbePoints } from "./probe-points.js";

/** A reading that could be taken next. */
export interface TestProposal {
  readonly id: string;
  readonly kind: TestKind;
  /** As a log entry would name the place; empty for the machine as a whole. */
  readonly at: string;
  readonly with: Instrument | "none";
  readonly minutes: number;
  readonly powered: boolean;
  readonly look: Look;
  /** Part type that must be in the drawer for it. */
  readonly needsSpare?: string;
  /** What to do, in plain words. */
  readonly instruction: string;
}

/** What the user owns. */
export type Has = (instrument: Instrument) => boolean;

/** Gathers proposals; those whose reading was taken already are left out. */
export class TestList {
  readonly list: TestProposal[] = [];
  readonly space: FaultSpace;
  readonly points: ProbePoints;
  private readonly costs: FindCosts;
  private readonly taken: ReadonlySet<string>;

  constructor(space: FaultSpace, costs: FindCosts, taken: ReadonlySet<string>) {
    this.space = space;
    this.costs = costs;
    this.taken = taken;
    this.points = new ProbePoints(space.circuit.wiring);
  }

  add(proposal: Omit<TestProposal, "minutes">): void {
    if (this.taken.has(proposal.id)) return;
    const { tests, switchOff, neighboursPerPin } = this.costs;
    const forPins = proposal.kind === "neighbours" ? neighboursPerPin * this.pinsAt(proposal.at) : 0;
    const minutes = tests[proposal.kind] + forPins + (proposal.powered ? 0 : switchOff);
    this.list.push({ ...proposal, minutes });
  }

  /** Resistance of a net to ground, with the power off. */
  addShort(net: number, instruction: string): void {
    const name = this.space.circuit.wiring.nets[net] ?? "?";
    this.add({
      id: `short:${name}`,
      kind: "resistance",
      at: `net:${name}`,
      with: "multimeter",
      powered: false,
      look: shortLook(this.space, net),
      instruction,
    });
  }

  private pinsAt(at: string): number {
    const place = placeNamed(this.space.circuit, at);
    return "part" in place ? (this.space.circuit.wiring.parts[place.part]?.pins.length ?? 0) : 0;
  }
}
