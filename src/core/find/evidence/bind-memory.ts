import type { CaseEntry } from "../case/case.js";
import type { Fault } from "../faults/fault.js";
import { type FaultSpace, machineCode, netCode, type RowView } from "../reason/space.js";
import { levelCount } from "../settle/value.js";
import { machineObservables } from "../table/chain.js";
import { type BindProblem, bounded, conditionOf, type Evidence, unknownFaultLikelihood } from "./evidence.js";
import { type Look, levelCode } from "./look.js";
import { type MemoryVerdict, memoryVerdicts, selfTestLook } from "./looks-memory.js";
import { partNamed } from "./place-name.js";

type MemoryTestEntry = Extract<CaseEntry, { kind: "memory-test" }>;
type NamedCause = NonNullable<MemoryTestEntry["causes"]>[number];

// A cause names a failure mode and pins only roughly: another way of failing of the same part keeps this share of what
// the named one gets. Own estimate.
const otherMode = 0.5;
const otherPin = 0.4;

/** What a memory test said, as evidence: a verdict in one word, or the ranked causes of what it found. */
export function memoryTestEvidence(
  space: FaultSpace,
  number: number,
  entry: MemoryTestEntry,
): { readonly evidence: Evidence } | { readonly problem: BindProblem } {
  const { causes = [] } = entry;
  if (entry.verdict !== "causes") return verdictEvidence(space, number, entry, entry.verdict);
  const named = causes.flatMap(({ parts }) => parts.map(({ part }) => part));
  const unknown = named.map((name) => partNamed(space.circuit, name)).find((place) => "message" in place);
  if (unknown !== undefined && "message" in unknown)
    return { problem: { code: "unknown-place", ...unknown } };
  if (named.length === 0)
    return {
      problem: { code: "wrong-place", message: "a memory test that found causes names at least one part" },
    };
  return { evidence: causesEvidence(space, number, entry, causes) };
}

function verdictEvidence(
  space: FaultSpace,
  number: number,
  entry: MemoryTestEntry,
  verdict: MemoryVerdict,
): { readonly evidence: Evidence } | { readonly problem: BindProblem } {
  const look = selfTestLook(space);
  const outcome = memoryVerdicts.indexOf(verdict);
  if (look === undefined || outcome < 0)
    return {
      problem: {
        code: "wrong-place",
        message: "the board describes no memory and ROM that a memory test could run on",
      },
    };
  // An ordinary test program runs in the RAM it tests: what it says is believed only as far as such programs are.
  const trust = entry.by === "self-test" ? 1 : space.model.errors.testProgramNames;
  const byCode = Float64Array.from({ length: look.codeCount }, (_, code) =>
    bounded(trust * likelihoodOf(look, code, outcome) + (1 - trust) / look.outcomes.length),
  );
  const label = `memory test: ${verdict}`;
  const condition = conditionOf(entry, true);
  return {
    evidence: {
      number,
      key: `${label}|${entry.by}|${condition}`,
      label,
      condition,
      likelihoodOf: (view, faults) => byCode[look.codeOf(view, faults)] as number,
      notInModel: unknownFaultLikelihood(
        look.outcomes.length,
        byCode[look.codeOf(space.health, [])] as number,
      ),
    },
  };
}

function likelihoodOf({ likelihood, outcomes }: Look, code: number, outcome: number): number {
  return likelihood[code * outcomes.length + outcome] ?? 0;
}

/**
 * Failing bits traced to causes: a fault is as likely to have made them as the best cause that names it, against the
 * best of all causes; one that no cause names may still be behind a named part that only received bad data.
 */
function causesEvidence(
  space: FaultSpace,
  number: number,
  entry: MemoryTestEntry,
  causes: readonly NamedCause[],
): Evidence {
  const { selfTestNames, testProgramNames } = space.model.errors;
  const names = entry.by === "test-program" && causes.length === 1 ? testProgramNames : selfTestNames;
  const floors = floorsOf(space, entry.by);
  const weights = causeWeights(space, causes);
  const known = new Map<Fault, number>();
  const weightOf = (fault: Fault): number => {
    const before = known.get(fault);
    if (before !== undefined) return before;
    const weight = Math.max(0, ...(weights.get(fault.part) ?? []).map((cause) => cause.fits(fault)));
    known.set(fault, weight);
    return weight;
  };
  const wrong = wrongPins(space, [...weights.keys()]);
  const look = entry.by === "test-program" ? selfTestLook(space) : undefined;
  const reaction = machineObservables.indexOf("reaction");
  const alive = machineCode(space.health, reaction);
  /** A program ran to tell this: a machine whose processor starts nothing could not have run it. */
  const couldRun = (view: RowView, faults: readonly Fault[]): boolean =>
    look === undefined ||
    faults.length === 0 ||
    machineCode(view, reaction) === alive ||
    isOfMemory(look.codeOf(view, faults));
  const label = `memory test: ${causes[0]?.title ?? "causes named"}`;
  return {
    number,
    key: `${JSON.stringify(causes)}|${entry.by}|${conditionOf(entry, true)}`,
    label,
    condition: conditionOf(entry, true),
    likelihoodOf: (view, faults) => {
      const weight = Math.max(0, ...faults.map(weightOf));
      const floor = wrong(view) ? floors.listener : floors.none;
      const ran = couldRun(view, faults) ? 1 : 1 - selfTestNames;
      return bounded(ran * Math.max(floor, names * weight));
    },
    notInModel: bounded(floors.listener),
  };
}

/**
 * How likely a part is named without being at fault: where its lines carry wrong information, and where they do not.
 * A self-test proves the lines before it tests chips, so it names a listener as seldom as any other.
 */
function floorsOf(
  space: FaultSpace,
  by: MemoryTestEntry["by"],
): { readonly none: number; readonly listener: number } {
  const { selfTestNames, testProgramNamesListener, testProgramClaimed } = space.model.errors;
  // Failing bits that trace to one part are a pattern, told by chance far more seldom than a name (own estimate).
  if (by === "test-program") return { none: testProgramClaimed / 5, listener: testProgramNamesListener / 3 };
  const stray = (1 - selfTestNames) / Math.max(1, (selfTestLook(space)?.outcomes.length ?? 2) - 1);
  return { none: stray, listener: 2 * stray };
}

/** True for the verdicts that accuse the memory itself: a chip, or lines that chips share. */
function isOfMemory(code: number): boolean {
  return code === memoryVerdicts.indexOf("lines") || code >= memoryVerdicts.length;
}

interface WeighedCause {
  /** Between 0 and 1: how well the cause fits a fault of its part, against the best cause. */
  fits(fault: Fault): number;
}

function causeWeights(
  space: FaultSpace,
  causes: readonly NamedCause[],
): ReadonlyMap<number, readonly WeighedCause[]> {
  const found = new Map<number, WeighedCause[]>();
  const highest = Math.max(...causes.map(({ share }) => share));
  for (const { share, parts } of causes) {
    const heaviest = Math.max(...parts.map(({ weight = 1 }) => weight));
    for (const { part, mode, pins = [], weight = 1 } of parts) {
      const place = partNamed(space.circuit, part);
      if ("message" in place) continue;
      const base = (share / highest) * (weight / heaviest);
      const fits = (fault: Fault): number =>
        base *
        (mode === undefined || fault.mode === mode ? 1 : otherMode) *
        (pins.length === 0 || fault.detail === "" || pins.includes(fault.detail) ? 1 : otherPin);
      found.set(place.part, [...(found.get(place.part) ?? []), { fits }]);
    }
  }
  return found;
}

/** Says whether a row puts wrong information on any line of the given parts. */
function wrongPins(
  { circuit: { wiring } }: FaultSpace,
  parts: readonly number[],
): (view: RowView) => boolean {
  const nets = new Set(
    parts.flatMap((part) => wiring.parts[part]?.pins.map((pin) => wiring.pins[pin]?.net ?? -1) ?? []),
  );
  const signals = [...nets].filter((net) => net >= 0 && wiring.netDuty[net] === 0);
  return (view) => signals.some((net) => levelCode(netCode(view, net)) >= levelCount);
}
