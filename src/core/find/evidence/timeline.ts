import type { Problem } from "../../base/problem.js";
import { type Case, type CaseEntry, type NumberedEntry, standingEntries } from "../case/case.js";
import { earlyEvents } from "../case/events.js";
import type { FaultSite } from "../faults/fault.js";
import { eventKinds } from "../priors/events.js";
import type { FaultSpace } from "../reason/space.js";
import { bindObservation } from "./bind-observation.js";
import type { BindProblem, Evidence } from "./evidence.js";
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
  /** Evidence by epoch; epoch e + 1 begins with boundary e. */
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

// Unsoldering and fitting a part also renews its joints and clears what bridged its pins.
const sitesOfRepair: Readonly<Record<NonNullable<EntryOf<"repair">["what"]>, readonly FaultSite[]>> = {
  replaced: ["part", "track", "bridge", "socket"],
  resoldered: ["track", "bridge"],
  cleaned: ["socket", "bridge"],
  reseated: ["socket"],
};

class TimelineReader {
  private readonly space: FaultSpace;
  private readonly early: ReadonlySet<number>;
  private readonly epochs: Evidence[][] = [[]];
  private readonly boundaries: Boundary[] = [];
  private readonly problems: Problem[] = [];
  /** What the machine was last seen to do, one entry for each thing that can be seen. */
  private symptoms: EntryOf<"symptom" | "characters">[] = [];
  private gate: "passed" | "failed" | "open" = "open";
  private gateImplied = false;

  constructor(space: FaultSpace, early: ReadonlySet<number>) {
    this.space = space;
    this.early = early;
  }

  finish(): Timeline {
    return {
      epochs: this.epochs,
      boundaries: this.boundaries,
      supplyGate: this.gate,
      gateImplied: this.gateImplied,
      problems: this.problems,
    };
  }

  take({ number, entry }: NumberedEntry): void {
    const { replacementBad, reseatCures } = this.space.model.errors;
    switch (entry.kind) {
      case "gate":
        this.gate = entry.state;
        break;
      case "swap":
        this.change(number, entry, { sites: ["part"], removes: 1 - replacementBad, verb: "swapped" });
        break;
      case "repair": {
        const verb = entry.what ?? "replaced";
        const removes = verb === "reseated" ? reseatCures : 1 - replacementBad;
        this.change(number, entry, { sites: sitesOfRepair[verb], removes, verb });
        break;
      }
      case "reseat":
        this.change(number, entry, { sites: ["socket"], removes: reseatCures, verb: "reseated" });
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
    if (entry.kind === "symptom" || entry.kind === "characters") this.remember(entry);
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

  /** A new epoch: the machine is no longer what it was. "Unchanged" means that it still shows what it showed before. */
  private change(
    number: number,
    entry: { readonly part: string; readonly result?: string | undefined },
    work: { readonly sites: readonly FaultSite[]; readonly removes: number; readonly verb: string },
  ): void {
    const place = partNamed(this.space.circuit, entry.part);
    if ("message" in place) {
      this.complain(number, { code: "unknown-place", ...place });
      return;
    }
    const { sites, removes, verb } = work;
    const label = `${place.label} ${verb}${entry.result === undefined ? "" : `: ${entry.result}`}`;
    this.boundaries.push({ number, label, part: place.part, sites, removes });
    this.epochs.push([]);
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
    this.boundaries.push({ number, label: entry.what, part: -1, sites: [], removes: 0 });
    this.epochs.push([]);
  }

  private complain(number: number, found: BindProblem): void {
    this.problems.push({ ...found, severity: "error", where: { field: `entries[${number - 1}]` } });
  }
}
