import { minimalHittingSets } from "../../../src/core/inference/minimal-sets.js";
import type { ReferenceRow } from "../support/check.js";
import { diagnoses, minimalConflicts, namedSets, renderSets } from "../support/weak-fault-model.js";
import { consistent, data, gateNames } from "./circuit.js";

/** Conflicts, the minimal diagnoses that follow from them, and how many sets of gates are diagnoses. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  const conflicts = minimalConflicts(gateNames.length, consistent);
  return [
    {
      quantity: "minimal conflicts",
      published: renderSets(data.minimalConflicts),
      ours: renderSets(namedSets(conflicts, gateNames)),
      tolerance: 0,
      tag: "recomputed",
    },
    {
      quantity: "minimal diagnoses",
      published: renderSets(data.minimalDiagnoses),
      ours: renderSets(namedSets(minimalHittingSets(conflicts).sets, gateNames)),
      tolerance: 0,
      tag: "recomputed",
    },
    {
      quantity: "diagnoses among the 32 sets of gates",
      published: data.diagnoses,
      ours: diagnoses(gateNames.length, consistent).length,
      tolerance: 0,
      tag: "recomputed",
    },
  ];
}
