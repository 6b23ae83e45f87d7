import { nearestName } from "../../base/nearest.js";
import type { Problem } from "../../base/problem.js";
import { type Case, type CaseEntry, type NumberedEntry, standingEntries } from "../case/case.js";
import type { Fault, FaultSite } from "../faults/fault.js";
import type { FaultSpace } from "../reason/space.js";
import type { MachineObservable } from "../table/chain.js";
import { machineObservables } from "../table/chain.js";
import { bindReading } from "./bind-reading.js";
import { charactersEvidence, deadLinesEvidence } from "./bind-symptom.js";
import { bounded, type Condition, type Evidence, unknownFaultLikelihood } from "./evidence.js";
import { type Look, machineLook } from "./look.js";
import { otherSupplyLook, piggybackLook, provocationLook, removalLook } from "./looks-passive.js";
import { isMisplaced, partNamed, placeNamed } from "./place-name.js";

/** Something done to the machine that takes faults away. */
export interface Boundary {
  readonly number: number;
  readonly label: string;
  readonly part: number;
  readonly sites: readonly FaultSite[];
  /** Chance that a fault of these sites at the part is gone afterwards. */
  readonly removes: number;
}

/** An event that may have made faults, at the start of the epoch it stands before. */
export interface MachineHappening {
  readonly number: number;
  readonly what: string;
  /** -1: the board as a whole. */
  readonly part: number;
  /** First epoch in which the faults it made can be there; 0: before everything in the log. */
  readonly epoch: number;
}

/** The log as reasoning needs it: what was seen between one change of the machine and the next. */
export interface Timeline {
  /** Evidence by epoch; epoch e + 1 begins with boundary e. */
  readonly epochs: readonly (readonly Evidence[])[];
  readonly boundaries: readonly Boundary[];
  readonly happenings: readonly MachineHappening[];
  readonly supplyGate: "passed" | "failed" | "open";
  /** True if a powered reading implied the gate. */
  readonly gateImplied: boolean;
  readonly problems: readonly Problem[];
}

/** Reads the standing entries of a case onto a board. Entries that cannot be placed become problems and are left out. */
export function readTimeline(space: FaultSpace, logged: Case): Timeline {
  const reader = new TimelineReader(space);
  for (const numbered of standingEntries(logged.entries)) reader.take(numbered);
  return reader.finish();
}

class TimelineReader {
  private readonly space: FaultSpace;
  private epochs: Evidence[][] = [[]];
  private readonly boundaries: Boundary[] = [];
  private readonly happenings: MachineHappening[] = [];
  private readonly problems: Problem[] = [];
  private symptoms: Extract<CaseEntry, { kind: "symptom" }>[] = [];
  private gate: "passed" | "failed" | "open" = "open";
  private gateImplied = false;

  constructor(space: FaultSpace) {
    this.space = space;
  }

  finish(): Timeline {
    return {
      epochs: this.epochs,
      boundaries: this.boundaries,
      happenings: this.happenings,
      supplyGate: this.gate,
      gateImplied: this.gateImplied,
      problems: this.problems,
    };
  }

  take({ number, entry }: NumberedEntry): void {
    switch (entry.kind) {
      case "gate":
        this.gate = entry.state;
        return;
      case "symptom":
        return this.takeSymptom(number, entry);
      case "characters": {
        const found = charactersEvidence(this.space, number, entry);
        if ("problem" in found) this.complain(number, found.problem);
        else this.add(found.evidence);
        return;
      }
      case "reading": {
        const bound = bindReading(this.space, entry);
        if ("problem" in bound) return this.complain(number, bound.problem);
        if (bound.powered) this.implyGate();
        this.add(
          this.fromLook(
            number,
            bound.label,
            bound.look,
            bound.seen,
            conditionOf(entry, bound.powered),
            bound.powered,
            entry.errorRate ?? 0,
          ),
        );
        return;
      }
      case "swap":
        return this.change(
          number,
          entry.part,
          ["part"],
          1 - this.space.model.errors.replacementBad,
          entry.result,
          "swapped",
        );
      case "repair":
        return this.takeRepair(number, entry);
      case "reseat":
        return this.change(
          number,
          entry.part,
          ["socket"],
          this.space.model.errors.reseatCures,
          entry.result,
          "reseated",
        );
      case "piggyback":
        return this.onPart(number, entry.part, (part, ref) => {
          this.addOutcome(
            number,
            `${ref} piggybacked: ${entry.result}`,
            piggybackLook(this.space, part),
            entry.result === "fixed" ? "fixed" : "unchanged",
            true,
          );
        });
      case "removed":
        return this.takeRemoval(number, entry);
      case "other-supply":
        return this.addOutcome(
          number,
          `another supply: ${entry.result}`,
          otherSupplyLook(this.space),
          entry.result === "fixed" ? "fixed" : "unchanged",
          true,
        );
      case "warmed":
      case "cooled":
      case "flexed":
        return this.takeProvocation(number, entry.kind, entry.part, entry.result);
      case "event":
        return this.takeEvent(number, entry);
      default:
    }
  }

  private takeSymptom(number: number, entry: Extract<CaseEntry, { kind: "symptom" }>): void {
    const { symptoms } = this.space.model;
    const symptom = symptoms.find((s) => s.id === entry.what);
    if (symptom === undefined) {
      const near = nearestName(
        entry.what,
        symptoms.map((s) => s.id),
      );
      const hint = near === undefined ? "'boardwake find --symptoms' lists them." : `Did you mean ${near}?`;
      return this.complain(number, {
        code: "unknown-symptom",
        message: `there is no symptom called '${entry.what}'`,
        hint,
      });
    }
    const observable = machineObservables.find((o) => o === symptom.observable);
    const look = observable === undefined ? undefined : machineLook(this.space, observable);
    if (look === undefined) {
      return this.complain(number, {
        code: "symptom-not-on-board",
        message: `the board file of ${this.space.circuit.wiring.board.title} does not describe its ${symptom.observable}, so '${entry.what}' tells nothing`,
      });
    }
    this.symptoms = this.symptoms.filter(
      (known) => symptoms.find((s) => s.id === known.what)?.observable !== symptom.observable,
    );
    this.symptoms.push(entry);
    // A symptom may be hearsay from before the machine came in: it does not tell that its supply was checked.
    this.addOutcome(number, symptom.wording, look, symptom.outcome, false, conditionOf(entry, true));
    if (entry.lines !== undefined) {
      const found = deadLinesEvidence(this.space, number, entry.lines, conditionOf(entry, true));
      if ("problem" in found) this.complain(number, found.problem);
      else for (const evidence of found.evidence) this.add(evidence);
    }
  }

  private takeRepair(number: number, entry: Extract<CaseEntry, { kind: "repair" }>): void {
    const what = entry.what ?? "replaced";
    const sites: Record<string, FaultSite[]> = {
      // Unsoldering and fitting a part also renews its joints and clears what bridged its pins.
      replaced: ["part", "track", "bridge", "socket"],
      resoldered: ["track", "bridge"],
      cleaned: ["socket", "bridge"],
      reseated: ["socket"],
    };
    const errors = this.space.model.errors;
    const removes = what === "reseated" ? errors.reseatCures : 1 - errors.replacementBad;
    this.change(number, entry.part, sites[what] ?? ["part"], removes, entry.result, what);
  }

  private change(
    number: number,
    name: string,
    sites: readonly FaultSite[],
    removes: number,
    result: string | undefined,
    verb: string,
  ): void {
    this.onPart(number, name, (part, ref) => {
      this.boundaries.push({
        number,
        label: `${ref} ${verb}${result === undefined ? "" : `: ${result}`}`,
        part,
        sites,
        removes,
      });
      this.epochs.push([]);
      const before = this.symptoms;
      this.symptoms = [];
      if (result === "fixed") {
        this.takeSymptom(number, { kind: "symptom", what: "works" });
      } else if (result === "unchanged") {
        for (const symptom of before) this.takeSymptom(number, symptom);
        if (before.length === 0) this.takeSymptom(number, { kind: "symptom", what: "dead" });
      }
    });
  }

  private takeRemoval(number: number, entry: Extract<CaseEntry, { kind: "removed" }>): void {
    const place = placeNamed(this.space.circuit, entry.part);
    const watched = placeNamed(this.space.circuit, entry.at);
    if (isMisplaced(place)) return this.complain(number, { code: "unknown-place", ...place });
    if (isMisplaced(watched)) return this.complain(number, { code: "unknown-place", ...watched });
    const net = watched.kind === "net" || watched.kind === "pin" ? watched.net : -1;
    const part =
      place.kind === "part"
        ? place.part
        : place.kind === "pin"
          ? (this.space.circuit.wiring.pins[place.pin]?.part ?? -1)
          : -1;
    if (net < 0 || part < 0) {
      return this.complain(number, {
        code: "wrong-place",
        message: "taking a part out needs the part (or leg) and the line that was watched",
      });
    }
    const pin = place.kind === "pin" ? place.pin : -1;
    this.addOutcome(
      number,
      `${place.label} out, ${watched.label} ${entry.shows}`,
      removalLook(this.space, part, pin, net),
      entry.shows,
      true,
    );
  }

  private takeProvocation(
    number: number,
    kind: "warmed" | "cooled" | "flexed",
    name: string | undefined,
    result: string,
  ): void {
    const bind = (part: number, label: string): void => {
      const outcome = result === "unchanged" ? "unchanged" : "changed";
      this.addOutcome(
        number,
        `${label} ${kind}: ${result}`,
        provocationLook(this.space, kind, part),
        outcome,
        true,
      );
    };
    if (name === undefined) bind(-1, "board");
    else this.onPart(number, name, bind);
  }

  private takeEvent(number: number, entry: Extract<CaseEntry, { kind: "event" }>): void {
    const early = entry.before ?? (this.epochs.length === 1 && this.epochs[0]?.length === 0);
    const push = (part: number): void => {
      if (!early) this.epochs.push([]);
      this.happenings.push({ number, what: entry.what, part, epoch: early ? 0 : this.epochs.length - 1 });
      if (!early) this.boundaries.push({ number, label: entry.what, part: -1, sites: [], removes: 0 });
    };
    if (entry.part === undefined) push(-1);
    else this.onPart(number, entry.part, push);
  }

  private onPart(number: number, name: string, act: (part: number, ref: string) => void): void {
    const place = partNamed(this.space.circuit, name);
    if ("message" in place) this.complain(number, { code: "unknown-place", ...place });
    else act(place.part, place.label);
  }

  private addOutcome(
    number: number,
    label: string,
    look: Look,
    outcome: string,
    powered: boolean,
    condition: Condition = "unknown",
  ): void {
    const at = look.outcomes.indexOf(outcome);
    if (at < 0)
      return this.complain(number, {
        code: "unknown-outcome",
        message: `'${outcome}' is no outcome of: ${look.outcomes.join(", ")}`,
      });
    const seen = new Float64Array(look.outcomes.length);
    seen[at] = 1;
    if (powered) this.implyGate();
    this.add(this.fromLook(number, label, look, seen, condition, powered, 0));
  }

  private fromLook(
    number: number,
    label: string,
    look: Look,
    seen: Float64Array,
    condition: Condition,
    powered: boolean,
    errorRate: number,
  ): Evidence {
    const count = look.outcomes.length;
    const byCode = new Float64Array(look.codeCount);
    for (let code = 0; code < look.codeCount; code += 1) {
      let sum = 0;
      for (let o = 0; o < count; o += 1)
        sum += (seen[o] as number) * (look.likelihood[code * count + o] as number);
      byCode[code] = bounded((1 - errorRate) * sum + errorRate / count);
    }
    const healthy = byCode[look.codeOf(this.space.health, [])] as number;
    return {
      number,
      key: `${label}|${condition}|${powered}|${errorRate}|${seen.join(",")}`,
      label,
      condition,
      powered,
      likelihoodOf: (view, faults: readonly Fault[]) => byCode[look.codeOf(view, faults)] as number,
      notInModel: unknownFaultLikelihood(count, healthy),
    };
  }

  private add(evidence: Evidence): void {
    this.epochs[this.epochs.length - 1]?.push(evidence);
  }

  private implyGate(): void {
    if (this.gate !== "open") return;
    this.gate = "passed";
    this.gateImplied = true;
  }

  private complain(number: number, found: { code: string; message: string; hint?: string }): void {
    this.problems.push({ ...found, severity: "error", where: { field: `entries[${number - 1}]` } });
  }
}

function conditionOf(
  entry: { when?: string | undefined; minutesSincePowerOn?: number | undefined },
  powered: boolean,
): Condition {
  if (!powered) return "unpowered";
  if (entry.when === "cold" || entry.when === "warm") return entry.when;
  if (entry.minutesSincePowerOn !== undefined) return entry.minutesSincePowerOn > 10 ? "warm" : "cold";
  return "unknown";
}

/** Observables that the board's description supports, for listing symptoms. */
export function describedObservables(space: FaultSpace): MachineObservable[] {
  return machineObservables.filter((observable) => machineLook(space, observable) !== undefined);
}
