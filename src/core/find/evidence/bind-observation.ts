import { nearestName } from "../../base/nearest.js";
import type { CaseEntry, NumberedEntry } from "../case/case.js";
import type { FaultSpace } from "../reason/space.js";
import { machineObservables } from "../table/chain.js";
import { memoryTestEvidence } from "./bind-memory.js";
import { bindReading } from "./bind-reading.js";
import { charactersEvidence, deadLinesEvidence } from "./bind-symptom.js";
import {
  type BindProblem,
  bounded,
  type Condition,
  conditionOf,
  type Evidence,
  unknownFaultLikelihood,
} from "./evidence.js";
import { type Look, machineLook } from "./look.js";
import { otherSupplyLook, piggybackLook, provocationLook, removalLook } from "./looks-passive.js";
import { isMisplaced, partNamed, placeNamed } from "./place-name.js";

/** What a log entry tells, matched to the board; `problem` says what of it could not be used. */
export interface Observed {
  readonly evidence: readonly Evidence[];
  /** True if it could only be seen with the machine's power on. */
  readonly impliesPower: boolean;
  readonly problem?: BindProblem;
}

type EntryOf<K extends CaseEntry["kind"]> = Extract<CaseEntry, { kind: K }>;

/** Turns an entry that says what was seen into evidence; undefined for entries of other kinds. */
export function bindObservation(space: FaultSpace, numbered: NumberedEntry): Observed | undefined {
  const { number, entry } = numbered;
  switch (entry.kind) {
    case "symptom":
      return bindSymptom(space, number, entry);
    case "characters": {
      const found = charactersEvidence(space, number, entry);
      return "problem" in found ? refused(found.problem) : observed([found.evidence], false);
    }
    case "reading":
      return bindTakenReading(space, number, entry);
    case "piggyback":
      return onPart(space, entry.part, (part, ref) =>
        outcomeSeen(space, number, {
          label: `${ref} piggybacked: ${entry.result}`,
          look: piggybackLook(space, part),
          outcome: fixedOrNot(entry.result),
        }),
      );
    case "removed":
      return bindRemoval(space, number, entry);
    case "memory-test": {
      const found = memoryTestEvidence(space, number, entry);
      return "problem" in found ? refused(found.problem) : observed([found.evidence], true);
    }
    case "other-supply":
      return outcomeSeen(space, number, {
        label: `another supply: ${entry.result}`,
        look: otherSupplyLook(space),
        outcome: fixedOrNot(entry.result),
      });
    case "warmed":
    case "cooled":
    case "flexed":
      return bindProvocation(space, number, entry);
    default:
      return undefined;
  }
}

function observed(evidence: readonly Evidence[], impliesPower: boolean): Observed {
  return { evidence, impliesPower };
}

function refused(problem: BindProblem): Observed {
  return { evidence: [], impliesPower: false, problem };
}

function fixedOrNot(result: string): string {
  return result === "fixed" ? "fixed" : "unchanged";
}

function onPart(space: FaultSpace, name: string, bind: (part: number, ref: string) => Observed): Observed {
  const place = partNamed(space.circuit, name);
  return "message" in place ? refused({ code: "unknown-place", ...place }) : bind(place.part, place.label);
}

function bindSymptom(space: FaultSpace, number: number, entry: EntryOf<"symptom">): Observed {
  const { symptoms } = space.model;
  const symptom = symptoms.find((s) => s.id === entry.what);
  if (symptom === undefined) {
    const near = nearestName(
      entry.what,
      symptoms.map((s) => s.id),
    );
    return refused({
      code: "unknown-symptom",
      message: `there is no symptom called '${entry.what}'`,
      hint: near === undefined ? "'boardwake find --symptoms' lists them." : `Did you mean ${near}?`,
    });
  }
  const observable = machineObservables.find((o) => o === symptom.observable);
  const look = observable === undefined ? undefined : machineLook(space, observable);
  if (look === undefined) {
    return refused({
      code: "symptom-not-on-board",
      message: `the board file of ${space.circuit.wiring.board.title} does not describe its ${symptom.observable}, so '${entry.what}' tells nothing`,
    });
  }
  const condition = conditionOf(entry, true);
  const meant = namesWholeMatrix(space, entry.lines)
    ? (symptoms.find((s) => s.observable === "keys" && s.outcome === "none") ?? symptom)
    : symptom;
  const seen = outcomeSeen(space, number, {
    label: meant.wording,
    look,
    outcome: meant.outcome,
    condition,
    // A symptom may be hearsay from before the machine came in: it does not tell that its supply was checked.
    impliesPower: false,
  });
  if (entry.lines === undefined) return seen;
  const lines = deadLinesEvidence(space, number, entry.lines, condition);
  if ("problem" in lines) return { ...seen, problem: lines.problem };
  return { ...seen, evidence: [...seen.evidence, ...lines.evidence] };
}

/** Dead lines that are all the columns or all the rows: then there are no keys at all, whatever the entry calls it. */
function namesWholeMatrix(space: FaultSpace, lines: readonly string[] | undefined): boolean {
  const { drive = [], sense = [] } = space.circuit.wiring.board.chain.keys ?? {};
  return [drive, sense].some(
    (side) => side.length > 0 && side.every((line) => lines?.includes(line) === true),
  );
}

function bindTakenReading(space: FaultSpace, number: number, entry: EntryOf<"reading">): Observed {
  const bound = bindReading(space, entry);
  if ("problem" in bound) return refused(bound.problem);
  const { label, look, seen, powered } = bound;
  const condition = conditionOf(entry, powered);
  const errorRate = entry.errorRate ?? 0;
  return observed([fromLook(space, { number, label, look, seen, condition, errorRate })], powered);
}

function bindRemoval(space: FaultSpace, number: number, entry: EntryOf<"removed">): Observed {
  const place = placeNamed(space.circuit, entry.part);
  const watched = placeNamed(space.circuit, entry.at);
  if (isMisplaced(place)) return refused({ code: "unknown-place", ...place });
  if (isMisplaced(watched)) return refused({ code: "unknown-place", ...watched });
  const net = watched.kind === "net" || watched.kind === "pin" ? watched.net : -1;
  const pin = place.kind === "pin" ? place.pin : -1;
  const part = place.kind === "part" ? place.part : (space.circuit.wiring.pins[pin]?.part ?? -1);
  if (net < 0 || part < 0) {
    return refused({
      code: "wrong-place",
      message: "taking a part out needs the part (or leg) and the line that was watched",
    });
  }
  return outcomeSeen(space, number, {
    label: `${place.label} out, ${watched.label} ${entry.shows}`,
    look: removalLook(space, part, pin, net),
    outcome: entry.shows,
  });
}

function bindProvocation(
  space: FaultSpace,
  number: number,
  entry: EntryOf<"warmed" | "cooled" | "flexed">,
): Observed {
  const { kind, part: name, result } = entry;
  const bind = (part: number, label: string): Observed =>
    outcomeSeen(space, number, {
      label: `${label} ${kind}: ${result}`,
      look: provocationLook(space, kind, part),
      outcome: result === "unchanged" ? "unchanged" : "changed",
      // Cold spray goes on a machine that has warmed up.
      condition: kind === "flexed" ? "unknown" : "warm",
    });
  return name === undefined ? bind(-1, "board") : onPart(space, name, bind);
}

/** Something that was tried with one clear outcome. */
interface Trial {
  readonly label: string;
  readonly look: Look;
  readonly outcome: string;
  readonly condition?: Condition;
  readonly impliesPower?: boolean;
}

function outcomeSeen(space: FaultSpace, number: number, trial: Trial): Observed {
  const { label, look, outcome, condition = "unknown", impliesPower = true } = trial;
  const at = look.outcomes.indexOf(outcome);
  if (at < 0) {
    return refused({
      code: "unknown-outcome",
      message: `'${outcome}' is no outcome of: ${look.outcomes.join(", ")}`,
    });
  }
  const seen = new Float64Array(look.outcomes.length);
  seen[at] = 1;
  return observed([fromLook(space, { number, label, look, seen, condition, errorRate: 0 })], impliesPower);
}

/** Scores what was seen by the look's table; `errorRate` mixes in an even spread over its outcomes. */
function fromLook(
  space: FaultSpace,
  taken: {
    readonly number: number;
    readonly label: string;
    readonly look: Look;
    /** [outcomes] how much each fits what was seen; sums to 1. */
    readonly seen: Float64Array;
    readonly condition: Condition;
    readonly errorRate: number;
  },
): Evidence {
  const { number, label, look, seen, condition, errorRate } = taken;
  const count = look.outcomes.length;
  const byCode = new Float64Array(look.codeCount);
  for (let code = 0; code < look.codeCount; code += 1) {
    let sum = 0;
    for (let o = 0; o < count; o += 1)
      sum += (seen[o] as number) * (look.likelihood[code * count + o] as number);
    byCode[code] = bounded((1 - errorRate) * sum + errorRate / count);
  }
  const healthy = byCode[look.codeOf(space.health, [])] as number;
  return {
    number,
    key: `${label}|${condition}|${errorRate}|${seen.join(",")}`,
    label,
    condition,
    likelihoodOf: (view, faults) => byCode[look.codeOf(view, faults)] as number,
    notInModel: unknownFaultLikelihood(count, healthy),
  };
}
