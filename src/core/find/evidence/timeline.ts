import type { Problem } from "../../base/problem.js";
import { type Case, type CaseEntry, type NumberedEntry, standingEntries } from "../case/case.js";
import { earlyEvents } from "../case/events.js";
import type { FaultSite } from "../faults/fault.js";
import { eventKinds } from "../priors/events.js";
import type { FaultSpace } from "../reason/space.js";
import { bindObservation } from "./bind-observation.js";
import { type Complaint, complainedOf, complaintEvidence } from "./complaint.js";
import { type BindProblem, conditionOf, type Evidence } from "./evidence.js";
import { partNamed } from "./place-name.js";

/** Something done to the machine, or that befell it, that takes faults away or may make new ones. */
export interface Boundary {
  readonly number: number;
  readonly label: string;
  /** -1 if no part was worked on. */
  readonly part: number;
  readonly sites: readonly FaultSite[];
  /** Chance that a fault of these sites at the part is gone afterwards. */
  readonly removes: number;
}

/** The log as reasoning needs it: what was seen between one change of the machine and the next. */
export interface Timeline {
  /** Evidence by epoch; epoch e + 1 begins with boundary e. One entry may make more than one boundary. */
  readonly epochs: readonly (readonly Evidence[])[];
  readonly boundaries: readonly Boundary[];
  readonly supplyGate: "passed" | "failed" | "open";
  /** True if a powered reading implied the gate. */
  readonly gateImplied: boolean;
  readonly problems: readonly Problem[];
}

/** Reads the standing entries of a case onto a board. Entries that cannot be placed become problems and are left out. */
export function readTimeline(space: FaultSpace, logged: Case): Timeline {
  const entries = standingEntries(logged.entries);
  const reader = new TimelineReader(space, earlyEvents(entries));
  for (const numbered of entries) reader.take(numbered);
  return reader.finish();
}

type EntryOf<K extends CaseEntry["kind"]> = Extract<CaseEntry, { kind: K }>;

/** Work on a part, as the log words it. */
type Work = "swapped" | NonNullable<EntryOf<"repair">["what"]>;

/** What one piece of work takes away, and with what chance. */
interface Cure {
  readonly sites: readonly FaultSite[];
  readonly removes: number;
}

class TimelineReader {
  private readonly space: FaultSpace;
  private readonly early: ReadonlySet<number>;
  private readonly epochs: Evidence[][] = [[]];
  private readonly boundaries: Boundary[] = [];
  private readonly problems: Problem[] = [];
  /** What the machine was last seen to do, one entry for each thing that can be seen. */
  private symptoms: EntryOf<"symptom" | "characters">[] = [];
  /** What is complained of in this epoch. */
  private complaint: Complaint | undefined;
  private gate: "passed" | "failed" | "open" = "open";
  private gateImplied = false;

  constructor(space: FaultSpace, early: ReadonlySet<number>) {
    this.space = space;
    this.early = early;
  }

  finish(): Timeline {
    this.closeEpoch();
    return {
      epochs: this.epochs,
      boundaries: this.boundaries,
      supplyGate: this.gate,
      gateImplied: this.gateImplied,
      problems: this.problems,
    };
  }

  take({ number, entry }: NumberedEntry): void {
    switch (entry.kind) {
      case "gate":
        this.gate = entry.state;
        break;
      case "swap":
        this.change(number, entry, "swapped");
        break;
      case "repair":
        this.change(number, entry, entry.what ?? "replaced");
        break;
      case "reseat":
        this.change(number, entry, "reseated");
        break;
      case "event":
        this.takeEvent(number, entry);
        break;
      default:
        this.observe(number, entry);
    }
  }

  private observe(number: number, entry: CaseEntry): void {
    const found = bindObservation(this.space, { number, entry });
    if (found === undefined) return;
    if (found.problem !== undefined) this.complain(number, found.problem);
    if (found.evidence.length === 0) return;
    this.epochs[this.epochs.length - 1]?.push(...found.evidence);
    if (found.impliesPower && this.gate === "open") {
      this.gate = "passed";
      this.gateImplied = true;
    }
    if (entry.kind === "symptom" || entry.kind === "characters") {
      this.remember(entry);
      this.complainOf(number, entry);
    }
  }

  private complainOf(number: number, entry: EntryOf<"symptom" | "characters">): void {
    const observable = entry.kind === "characters" ? "picture" : complainedOf(this.space, entry.what);
    if (observable === undefined) return;
    const before = this.complaint ?? { number, condition: conditionOf(entry, true), observables: [] };
    this.complaint = { ...before, observables: new Set([...before.observables, observable]) };
  }

  /** Everything of an epoch has been read: what was complained of in it is now known. */
  private closeEpoch(): void {
    if (this.complaint !== undefined)
      this.epochs[this.epochs.length - 1]?.push(complaintEvidence(this.space, this.complaint));
    this.complaint = undefined;
  }

  private beginEpoch(boundary: Boundary): void {
    this.closeEpoch();
    this.boundaries.push(boundary);
    this.epochs.push([]);
  }

  /** A later symptom takes the place of an earlier one of the same kind; each pair of characters stands for itself. */
  private remember(entry: EntryOf<"symptom" | "characters">): void {
    const observableOf = (one: EntryOf<"symptom" | "characters">): string =>
      one.kind === "characters"
        ? `${one.right}/${one.wrong}`
        : (this.space.model.symptoms.find((s) => s.id === one.what)?.observable ?? "");
    this.symptoms = this.symptoms.filter((known) => observableOf(known) !== observableOf(entry));
    this.symptoms.push(entry);
  }

  /**
   * What work on a part takes away, one cure after the other. Unsoldering and fitting a part renews its joints and
   * clears what bridged its pins; exchanging one in its socket does neither, but rubs the contacts as reseating does.
   */
  private curesOf(part: number, verb: Work): readonly Cure[] {
    const { replacementBad, reseatCures } = this.space.model.errors;
    const fitted = 1 - replacementBad;
    const reseating: Cure = { sites: ["socket"], removes: reseatCures };
    switch (verb) {
      case "swapped":
      case "replaced":
        return this.space.circuit.wiring.parts[part]?.part.socketed === true
          ? [{ sites: ["part"], removes: fitted }, reseating]
          : [{ sites: ["part", "track", "bridge", "socket"], removes: fitted }];
      case "resoldered":
        return [{ sites: ["track", "bridge"], removes: fitted }];
      case "cleaned":
        return [{ sites: ["socket", "bridge"], removes: fitted }];
      case "reseated":
        return [reseating];
    }
  }

  /** A new epoch: the machine is no longer what it was. "Unchanged" means that it still shows what it showed before. */
  private change(
    number: number,
    entry: { readonly part: string; readonly result?: string | undefined },
    verb: Work,
  ): void {
    const place = partNamed(this.space.circuit, entry.part);
    if ("message" in place) {
      this.complain(number, { code: "unknown-place", ...place });
      return;
    }
    const label = `${place.label} ${verb}${entry.result === undefined ? "" : `: ${entry.result}`}`;
    // Each cure has its own chance, so each is a boundary; nothing is seen between them.
    for (const { sites, removes } of this.curesOf(place.part, verb))
      this.beginEpoch({ number, label, part: place.part, sites, removes });
    const before = this.symptoms;
    this.symptoms = [];
    if (entry.result === "fixed") this.observe(number, { kind: "symptom", what: "works" });
    if (entry.result !== "unchanged") return;
    for (const symptom of before) this.observe(number, symptom);
    if (before.length === 0) this.observe(number, { kind: "symptom", what: "dead" });
  }

  /** Later events begin an epoch. Unknown ones are complained of where events are gathered (`eventsOfCase`). */
  private takeEvent(number: number, entry: EntryOf<"event">): void {
    const place = entry.part === undefined ? undefined : partNamed(this.space.circuit, entry.part);
    if (place !== undefined && "message" in place) {
      this.complain(number, { code: "unknown-place", ...place });
      return;
    }
    if (this.early.has(number) || !eventKinds.some((kind) => kind === entry.what)) return;
    this.beginEpoch({ number, label: entry.what, part: -1, sites: [], removes: 0 });
  }

  private complain(number: number, found: BindProblem): void {
    this.problems.push({ ...found, severity: "error", where: { field: `entries[${number - 1}]` } });
  }
}
