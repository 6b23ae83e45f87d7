import { minimalHittingSets } from "../../../src/core/inference/minimal-sets.js";
import { halfLastPlace, type ReferenceRow } from "../support/check.js";
import { minimalConflicts, namedSets, renderSets } from "../support/weak-fault-model.js";
import { c17Consistency, c17Gates, c17Responses, differingVectors, vectorText } from "./c17.js";
import { c17Probing } from "./c17-probing.js";
import { data } from "./data.js";

/** Test sets of the least size: hitting sets of what each fault, or pair of faults, is seen by. */
export function smallestTestSets(
  seenBy: readonly (readonly number[])[],
  size: number,
): readonly (readonly number[])[] {
  const { sets, complete } = minimalHittingSets(seenBy, { maximumSize: size, maximumPartialSets: 5_000_000 });
  if (!complete) throw new RangeError("too many partial test sets");
  const least = Math.min(...sets.map((set) => set.length));
  return sets.filter((set) => set.length === least);
}

/** Diagnoses, faults, test sets and probing of c17. */
export function c17Rows(): ReferenceRow[] {
  const row = (
    quantity: string,
    published: number | string,
    ours: number | string,
    tolerance = 0,
  ): ReferenceRow => ({
    quantity: `c17: ${quantity}`,
    published,
    ours,
    tolerance,
    tag: "recomputed",
  });
  const diagnoses = data.c17Diagnoses.map(([vector, outputs, sets]) => {
    const conflicts = minimalConflicts(c17Gates.length, c17Consistency(vector, outputs));
    const ours = namedSets(minimalHittingSets(conflicts).sets, c17Gates);
    return row(
      `minimal diagnoses for input ${vector}, outputs ${outputs}`,
      renderSets(sets),
      renderSets(ours),
    );
  });
  const [good = [], ...faulty] = c17Responses();
  const detecting = faulty.map((response) => differingVectors(good, response));
  const all = [good, ...faulty];
  const telling = all.flatMap((a, i) => all.slice(i + 1).map((b) => differingVectors(a, b)));
  const { c17Faults: faults, c17Probing: probing } = data;
  const detectingSets = smallestTestSets(detecting, faults.smallestDetectingSet);
  const diagnosingSets = smallestTestSets(telling, faults.smallestDiagnosingSet);
  const listed = detectingSets.some((set) => set.map(vectorText).join() === faults.oneDetectingSet.join());
  const measured = c17Probing();
  const sixDecimals = halfLastPlace(6);
  return [
    ...diagnoses,
    row("collapsed faults with responses of their own", faults.distinct, new Set(faulty.map(String)).size),
    row("redundant faults", faults.redundant, detecting.filter((vectors) => vectors.length === 0).length),
    row(
      "number of vectors that detect each fault",
      faults.vectorsDetectingEach.join(" "),
      detecting
        .map((vectors) => vectors.length)
        .sort((a, b) => a - b)
        .join(" "),
    ),
    row(
      "vectors in the smallest set that detects all faults",
      faults.smallestDetectingSet,
      detectingSets[0]?.length ?? 0,
    ),
    row("number of such sets", faults.detectingSets, detectingSets.length),
    row(`${faults.oneDetectingSet.join(" ")} is one of them`, "yes", listed ? "yes" : "no"),
    row(
      "vectors in the smallest set that tells all faults apart",
      faults.smallestDiagnosingSet,
      diagnosingSets[0]?.length ?? 0,
    ),
    row("number of such sets", faults.diagnosingSets, diagnosingSets.length),
    row("cases of a stuck net and a failing vector", probing.cases, measured.cases),
    row("mean entropy of the suspects, bits", probing.meanEntropyBits, measured.meanEntropyBits, sixDecimals),
    row("mean probes of the best plan", probing.meanProbes, measured.meanProbes, sixDecimals),
    row(
      "mean probes of the plan chosen by search",
      probing.meanProbes,
      measured.meanChosenProbes,
      sixDecimals,
    ),
  ];
}
