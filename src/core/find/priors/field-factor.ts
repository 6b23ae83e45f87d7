import type { Section } from "../../board/board.js";
import type { FaultFamily } from "./fault-family.js";
import type { FieldData } from "./field-data.js";

/** What the histories say about one group of parts on one board. */
export interface FieldFactor {
  readonly group: string;
  readonly title: string;
  /** Share of the board's failures that the model gives the group before the histories are asked. */
  readonly modelShare: number;
  /** Faults of the group in histories of other kinds of machine. */
  readonly count: number;
  /** Faults of the group in histories of this kind of machine. */
  readonly machineFamilyCount: number;
  /** Share after all histories. */
  readonly share: number;
  /** Standard deviation of that share in the last stage's Dirichlet distribution. */
  readonly shareDeviation: number;
  /** share / modelShare: what the rates of the group's parts are multiplied by. */
  readonly factor: number;
}

export interface FieldFactors {
  readonly factors: readonly FieldFactor[];
  /** The kind of machine whose own histories were used, or undefined if none was. */
  readonly machineFamily: string | undefined;
}

/** Weights of the two stages; see docs/formulas/priors.md. Infinity leaves the histories out. */
export interface FieldWeights {
  /** Faults that the model's shares count as, against all histories but those of the kind of machine. */
  readonly fieldPseudoCount: number;
  /** Faults that the pooled shares count as, against the histories of the kind of machine. */
  readonly familyPseudoCount: number;
}

/** Group of a part or structure, by family and section; undefined only if no group fits. */
export function fieldGroup(data: FieldData, family: FaultFamily, section: Section): string | undefined {
  const fits = (member: FieldData["groups"][number]["members"][number]): boolean =>
    (member.families?.includes(family) ?? true) && (member.sections?.includes(section) ?? true);
  return data.groups.find((group) => group.members.some(fits))?.group;
}

/**
 * Two-stage Dirichlet estimate of the groups' shares on a board.
 * Stage 1: model shares h with weight K, and counts n of the histories of other kinds of machine:
 * p = (K·h + n) / (K + Σn). Stage 2: p with weight L, and the counts m of this kind of machine:
 * s = (L·p + m) / (L + Σm). The factor of a group is s / h. Groups not on the board are left out of all sums;
 * s sums to 1 over the board.
 *
 * @param groupRates failures per million hours by group, all parts of the board summed; positive entries only count
 * @param machineFamily kind of machine as the data names it; unknown names and "other" are treated as absent
 * @throws RangeError if a weight is not positive or a rate is negative
 */
export function fieldFactors(
  data: FieldData,
  groupRates: ReadonlyMap<string, number>,
  weights: FieldWeights,
  machineFamily?: string,
): FieldFactors {
  const { fieldPseudoCount, familyPseudoCount } = weights;
  for (const [name, weight] of Object.entries({ fieldPseudoCount, familyPseudoCount })) {
    if (!(weight > 0)) throw new RangeError(`${name} must be positive, got ${weight}`);
  }
  for (const [group, rate] of groupRates) {
    if (!(rate >= 0 && Number.isFinite(rate)))
      throw new RangeError(`rate of ${group} must be 0 or more, got ${rate}`);
  }
  const total = [...groupRates.values()].reduce((sum, rate) => sum + rate, 0);
  const ownCases = machineFamily === "other" ? undefined : casesOf(data, machineFamily);
  const rows = data.groups
    .map((group) => ({ ...group, modelShare: (groupRates.get(group.group) ?? 0) / total }))
    .filter((group) => group.modelShare > 0)
    .map((group) => ({ ...group, ...countsOf(data, group.classes, ownCases) }));
  const others = rows.reduce((sum, row) => sum + row.count, 0);
  const own = rows.reduce((sum, row) => sum + row.machineFamilyCount, 0);
  return {
    machineFamily: ownCases === undefined ? undefined : machineFamily,
    factors: rows.map((row) => {
      const { group, title, modelShare, count, machineFamilyCount } = row;
      const pooled = dirichletMean(modelShare, fieldPseudoCount, count, others);
      const share = dirichletMean(pooled, familyPseudoCount, machineFamilyCount, own);
      const weight = ownCases === undefined ? fieldPseudoCount + others : familyPseudoCount + own;
      const shareDeviation = Math.sqrt((share * (1 - share)) / (weight + 1));
      return {
        group,
        title,
        modelShare,
        count,
        machineFamilyCount,
        share,
        shareDeviation,
        factor: share / modelShare,
      };
    }),
  };
}

function dirichletMean(mean: number, weight: number, count: number, total: number): number {
  return weight === Number.POSITIVE_INFINITY ? mean : (weight * mean + count) / (weight + total);
}

function casesOf(data: FieldData, machineFamily: string | undefined): ReadonlySet<string> | undefined {
  const entry = data.counted.machineFamilies.find((row) => row.machineFamily === machineFamily);
  return entry === undefined ? undefined : new Set(entry.cases);
}

function countsOf(
  data: FieldData,
  classes: readonly string[],
  ownCases: ReadonlySet<string> | undefined,
): { readonly count: number; readonly machineFamilyCount: number } {
  const cases = data.counted.classes.filter((row) => classes.includes(row.class)).flatMap((row) => row.any);
  const machineFamilyCount = cases.filter((id) => ownCases?.has(id) ?? false).length;
  return { count: cases.length - machineFamilyCount, machineFamilyCount };
}
