import {
  type MemberSets,
  normaliseLogWeights,
  type Posterior,
  packMemberSets,
} from "../../../src/core/inference/posterior.js";

/*
 * Candidates of a small circuit under the weak fault model, by plain enumeration: a candidate says which components are
 * faulty, a faulty component may do anything. Candidate c is a number whose bit k is set if component k is faulty.
 */

/** True if the observations do not contradict that exactly the components in `faulty` are faulty. */
export type Consistency = (faulty: number) => boolean;

/** Whether bit `component` of the candidate is set. */
export function isFaulty(candidate: number, component: number): boolean {
  return ((candidate >> component) & 1) === 1;
}

/** All `2^count` candidates. */
export function allCandidates(count: number): number[] {
  return Array.from({ length: 2 ** count }, (_, candidate) => candidate);
}

/** The candidates that the observations allow. */
export function diagnoses(count: number, consistent: Consistency): number[] {
  return allCandidates(count).filter(consistent);
}

/** Diagnoses of which no smaller part is a diagnosis, each as its ascending components. */
export function minimalDiagnoses(count: number, consistent: Consistency): number[][] {
  return minimal(diagnoses(count, consistent)).map(componentsOf);
}

/** Smallest sets of components that cannot all be healthy, each as its ascending components. */
export function minimalConflicts(count: number, consistent: Consistency): number[][] {
  const all = 2 ** count - 1;
  return minimal(allCandidates(count).filter((healthy) => !consistent(all & ~healthy))).map(componentsOf);
}

/** [2^components]: log prior of each candidate when components fail independently with the given probabilities. */
export function candidateLogPriors(faultProbabilities: readonly number[]): Float64Array {
  return Float64Array.from(allCandidates(faultProbabilities.length), (candidate) =>
    faultProbabilities.reduce((sum, p, k) => sum + Math.log(isFaulty(candidate, k) ? p : 1 - p), 0),
  );
}

/** Posterior over all candidates when a contradicted one has likelihood 0 and every other has likelihood 1. */
export function consistencyPosterior(
  faultProbabilities: readonly number[],
  consistent: Consistency,
): Posterior {
  const logWeights = candidateLogPriors(faultProbabilities);
  for (const candidate of logWeights.keys()) {
    if (!consistent(candidate)) logWeights[candidate] = Number.NEGATIVE_INFINITY;
  }
  return normaliseLogWeights(logWeights);
}

/** The faulty components of every candidate, for the probabilities of single components. */
export function candidateMembers(count: number): MemberSets {
  return packMemberSets(allCandidates(count).map(componentsOf), count);
}

/** Sets of components in words: names sorted within a set, smaller sets first, equal sizes by name. */
export function renderSets(sets: readonly (readonly string[])[]): string {
  return sets
    .map((set) => ({ size: set.length, text: `{${[...set].sort().join(",")}}` }))
    .sort((a, b) => a.size - b.size || (a.text < b.text ? -1 : 1))
    .map(({ text }) => text)
    .join(" ");
}

/** Sets of component numbers as sets of names. Throws `RangeError` for a number without a name. */
export function namedSets(sets: readonly (readonly number[])[], names: readonly string[]): string[][] {
  return sets.map((set) =>
    set.map((component) => {
      const name = names[component];
      if (name === undefined) throw new RangeError(`component ${component} of ${names.length}`);
      return name;
    }),
  );
}

function componentsOf(candidate: number): number[] {
  const result: number[] = [];
  for (let k = 0; 2 ** k <= candidate; k += 1) if (isFaulty(candidate, k)) result.push(k);
  return result;
}

function minimal(sets: readonly number[]): number[] {
  return sets.filter((set) => !sets.some((other) => other !== set && (other & ~set) === 0));
}
