import { type FaultSpace, machineCode, type RowView } from "../reason/space.js";
import { type MachineObservable, machineObservables } from "../table/chain.js";
import { type Condition, type Evidence, unknownFaultLikelihood } from "./evidence.js";
import { machineLook } from "./look.js";

/** What of a machine was complained of in one epoch. */
export interface Complaint {
  /** Entry that began it. */
  readonly number: number;
  readonly condition: Condition;
  readonly observables: ReadonlySet<MachineObservable>;
}

/**
 * The thing that a symptom complains of; undefined if it says that all is well, or only that the machine does not
 * work: that is scored as it is.
 */
export function complainedOf(space: FaultSpace, what: string): MachineObservable | undefined {
  const symptom = space.model.symptoms.find((s) => s.id === what);
  const observable = machineObservables.find((o) => o === symptom?.observable);
  if (symptom === undefined || observable === undefined || observable === "whole") return undefined;
  return symptom.outcome === usualOutcome(space, observable) ? undefined : observable;
}

/** What is reported of a thing most often on a healthy machine. */
function usualOutcome(space: FaultSpace, observable: MachineObservable): string | undefined {
  const look = machineLook(space, observable);
  if (look === undefined) return undefined;
  const count = look.outcomes.length;
  const code = look.codeOf(space.health, []);
  const row = look.likelihood.subarray(code * count, (code + 1) * count);
  return look.outcomes[row.indexOf(Math.max(...row))];
}

/**
 * The complaint as an observation of its own. A report that something is wrong may be mistaken once; a machine comes
 * to the bench because it was wrong again and again. So at least one of the things complained of is wrong, except for
 * the share of complaints that are groundless: a fault that shows nothing there explains nothing.
 */
export function complaintEvidence(space: FaultSpace, complaint: Complaint): Evidence {
  const { number, condition } = complaint;
  const places = machineObservables.flatMap((o, i) => (complaint.observables.has(o) ? [i] : []));
  const { complaintGroundless: groundless } = space.model.errors;
  const shows = (view: RowView): boolean =>
    places.some((place) => machineCode(view, place) !== machineCode(space.health, place));
  return {
    number,
    key: `complaint|${condition}|${places.join()}`,
    label: `complaint: ${[...complaint.observables].join(", ")}`,
    condition,
    likelihoodOf: (view) => (shows(view) ? 1 - groundless : groundless),
    notInModel: unknownFaultLikelihood(2, groundless),
  };
}
