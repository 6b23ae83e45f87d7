import type { Instrument } from "../case/case.js";
import { freeInstruments } from "../case/case.js";
import { currentLook, otherSupplyLook, provocationLook } from "../evidence/looks-passive.js";
import type { FaultSpace } from "../reason/space.js";
import { addMachine, addNets, addRails, addSelfTest, addSweeps } from "./board-tests.js";
import type { FindCosts } from "./costs.js";
import { addPart } from "./part-tests.js";
import type { LiveHypothesis } from "./problem.js";
import { type Has, TestList, type TestProposal } from "./test-list.js";

/** What the plan may propose. */
export interface ProposalLimits {
  readonly instruments: readonly Instrument[];
  readonly powerAllowed: boolean;
  /** Machine observables already reported since the last change; asking again tells nothing. */
  readonly reported: ReadonlySet<string>;
  /** Ids of readings taken since the last change. */
  readonly taken: ReadonlySet<string>;
  /** Parts looked into one by one, likeliest first. */
  readonly suspects: readonly number[];
  /** Clock-like nets whose rate an oscilloscope can check. */
  readonly rateKnown: (net: number) => boolean;
}

/** All readings that could tell the live hypotheses apart with what the user owns and may do now. */
export function listTests(
  space: FaultSpace,
  live: readonly LiveHypothesis[],
  costs: FindCosts,
  limits: ProposalLimits,
): TestProposal[] {
  const has: Has = (instrument) =>
    limits.instruments.includes(instrument) || freeInstruments.includes(instrument);
  const tests = new TestList(space, costs, limits.taken);
  if (limits.powerAllowed) {
    addMachine(tests, limits.reported);
    addNets(tests, live, has, limits.rateKnown);
    addRails(tests, live, has);
    if (has("multimeter") || has("bench-supply")) {
      tests.add({
        id: "current",
        kind: "current",
        at: "supply",
        with: has("multimeter") ? "multimeter" : "bench-supply",
        powered: true,
        look: currentLook(space),
        instruction: "Measure the current drawn from the supply.",
      });
    }
    if (has("chip-programmer")) addSelfTest(tests);
    tests.add({
      id: "flexed",
      kind: "flexed",
      at: "",
      with: "none",
      powered: true,
      look: provocationLook(space, "flexed", -1),
      instruction: "Press and flex the board gently, off the mains side, and watch for a change.",
    });
    tests.add({
      id: "warmed",
      kind: "warmed",
      at: "",
      with: "none",
      powered: true,
      look: provocationLook(space, "warmed", -1),
      instruction: "Let the machine warm up for ten minutes and look again.",
    });
    if (has("bench-supply")) {
      tests.add({
        id: "other-supply",
        kind: "other-supply",
        at: "",
        with: "bench-supply",
        powered: true,
        look: otherSupplyLook(space),
        instruction: "Run the machine from another supply.",
      });
    }
  }
  addSweeps(tests, live, has, limits.powerAllowed);
  for (const part of limits.suspects) addPart(tests, part, live, has, limits.powerAllowed);
  return tests.list;
}
