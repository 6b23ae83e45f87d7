import type { BoardPriors } from "../priors/board-priors.js";
import type { EvidenceMemory } from "./likelihoods.js";
import type { FaultSpace } from "./space.js";

/** A space with its priors and the likelihoods already worked out on it. */
export interface RememberedSpace {
  readonly space: FaultSpace;
  readonly priors: BoardPriors;
  readonly evidence: EvidenceMemory;
}
