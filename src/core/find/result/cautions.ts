import type { Section } from "../../board/board.js";
import type { RepairKind } from "../plan/costs.js";
import type { FaultSpace } from "../reason/space.js";
import type { NextStep } from "./result.js";

const defer = "Where mains is involved, local rules and a qualified person come first.";

/** The step that must be passed before anything is powered: the usual checks of an old supply. */
export function gateStep(space: FaultSpace): NextStep {
  const rails = space.circuit.wiring.board.rails.filter((rail) => rail.raw !== true).map((rail) => rail.net);
  return {
    action: "gate",
    id: "supply",
    minutes: 5,
    instruction: `Make the supply safe before power: look for swollen, leaking or burnt parts, check the fuse and its rating, measure each rail (${rails.join(", ")}) to ground for a short with everything unplugged, then measure the supply's outputs without the machine. Log {"kind":"gate","id":"supply","state":"passed"} when all is well.`,
    cautions: [
      "Unplug from the mains and let the reservoir capacitors discharge before touching anything.",
      "A monitor or television holds dangerous voltage for long after it is switched off: leave it closed.",
      "Old supplies can fail to too high a voltage without warning: measure them without the machine first.",
      defer,
    ],
  };
}

/** Cautions that belong to a repair. */
export function repairCautions(
  kind: RepairKind,
  effort: "none" | "socketed" | "soldered",
  section: Section,
): string[] {
  const cautions = ["Power off and unplugged; discharge yourself before handling chips."];
  if (kind === "resolder" || (kind === "replace" && effort === "soldered")) {
    cautions.push(
      "Solder fumes and hot iron: air the room, protect your eyes; old solder holds lead, wash your hands.",
    );
  }
  if (section === "supply") cautions.push(`Reservoir capacitors keep their charge. ${defer}`);
  return cautions;
}
