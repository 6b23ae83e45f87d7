import type { Board } from "../core/board/board.js";
import type { NextStep } from "../core/find/result/result.js";
import { partsAt } from "./probe-place.js";

/**
 * What can hurt in a step, and what people usually do about it. The usual cautions of the trade; they replace neither
 * local rules nor training.
 */
export function cautionsOf(step: NextStep, board: Board): readonly string[] {
  if (step.action !== "reading") return step.cautions;
  const cautions: string[] = [];
  const kind = step.id.split(":", 1)[0] ?? "";
  if (kind === "removal" || kind === "lifted" || kind === "tester" || kind === "piggyback")
    cautions.push("Switch off and unplug before a chip or a leg is moved; discharge yourself first.");
  if (kind === "self-test")
    cautions.push(
      "Switch off and unplug before a chip is moved; discharge yourself first; an eraser's ultraviolet light harms eyes and skin.",
    );
  if (kind === "heat" || kind === "heat-sweep")
    cautions.push("Keep away from mains parts; regulators and shorted chips burn: touch briefly.");
  if (kind === "other-supply")
    cautions.push("Set voltage and current limit before it is connected, and check the polarity twice.");
  if (kind === "lifted" || kind === "lifted-part")
    cautions.push("Solder fumes and hot iron: air the room and protect your eyes.");
  if (!step.powered) cautions.push("Unplug, and wait until the reservoir capacitors are discharged.");
  else if (isSupply(step.at, board))
    cautions.push("The supply is live: one hand, nothing but the probe tip near it, mains covered.");
  else if (/^[A-Z]+\d+\./.test(step.at))
    cautions.push("The machine is on: a tip that slips shorts two pins. Hold the probe upright.");
  return cautions;
}

/** True for rails, the current of the supply, and pins of parts that make it. */
function isSupply(at: string, board: Board): boolean {
  if (at === "supply" || at.startsWith("rail:")) return true;
  return partsAt({ board }, at).some(({ section }) => section === "supply");
}
