import type { CaseEntry } from "../case/case.js";
import { nothingFound } from "../evidence/looks-sweep.js";
import type { RepairKind } from "../plan/costs.js";
import type { PreparedBoard } from "../prepare.js";
import type { CircuitPart } from "../settle/circuit.js";
import type { Answer } from "./answer.js";
import { type Complaint, readComplaint } from "./complaint.js";
import { type Move, repairStep } from "./policy.js";
import { Schematic } from "./probing.js";
import { inSection, onlySupplies, RepairLedger } from "./replacing.js";
import type { ReadingAsked, RepairAsked } from "./step.js";

type Work<T> = Generator<Move, T, Answer>;

/** Share of the odds on a set of parts at which work on it ends: new parts are bad now and then. */
const worthwhile = 0.08;

/**
 * The steps that the usual ways of working share. Each is a generator that yields moves; the run ends from outside as
 * soon as the machine works.
 */
export class UsualWork {
  readonly schematic: Schematic;
  readonly ledger: RepairLedger;
  readonly prepared: PreparedBoard;
  /** Lines that a search has already gone through. */
  readonly followed = new Set<string>();
  private readonly entries: CaseEntry[];
  private readonly shown = new Map<string, string>();
  private readonly surprise = new Map<string, boolean>();

  constructor(prepared: PreparedBoard, entries: readonly CaseEntry[]) {
    this.prepared = prepared;
    this.schematic = new Schematic(prepared);
    this.ledger = new RepairLedger(prepared);
    this.entries = [...entries];
  }

  complaint(): Complaint {
    return readComplaint(this.prepared, this.entries);
  }

  /** Takes a reading, or remembers what it showed. */
  *read(step: ReadingAsked): Work<string> {
    const known = this.shown.get(step.id);
    if (known !== undefined) return known;
    const { shows, entry } = yield { step, stop: false };
    this.shown.set(step.id, shows);
    this.entries.push(entry);
    return shows;
  }

  /** A surprising reading is taken a second time before anything is done about it. */
  *surprises(step: ReadingAsked, isSurprise: (shows: string) => boolean): Work<boolean> {
    const known = this.surprise.get(step.id);
    if (known !== undefined) return known;
    let surprise = isSurprise(yield* this.read(step));
    if (surprise) {
      const { shows } = yield { step, stop: false };
      surprise = isSurprise(shows);
    }
    this.surprise.set(step.id, surprise);
    return surprise;
  }

  *repair(step: RepairAsked): Work<void> {
    yield { step, stop: true };
    this.ledger.failed(step);
  }

  /** Repairs on the wanted parts, best odds per cost first, until what is left is hardly worth a thought. */
  *repairAll(wanted: (part: CircuitPart) => boolean, only?: readonly RepairKind[]): Work<void> {
    const enough = worthwhile * this.ledger.oddsOn(wanted);
    for (;;) {
      const step = this.ledger.best(wanted, only);
      if (step === undefined || this.ledger.oddsOn(wanted) <= enough) return;
      yield* this.repair(step);
    }
  }

  /** A free test where the report leaves open whether the program runs. */
  *askWhetherAlive(): Work<void> {
    const { chain } = this.prepared.board;
    const told = this.entries.some(
      (entry) => entry.kind === "symptom" && ["start-beep", "no-beep", "noise"].includes(entry.what),
    );
    if (!told && chain.keys !== undefined) yield* this.read(this.schematic.ask("reaction"));
  }

  /** Measures the rails chips run on; a bad one is followed up until the machine works or no idea is left. */
  *rails(): Work<void> {
    for (const rail of this.schematic.chipRails()) {
      if (yield* this.surprises(this.schematic.rail(rail), (shows) => shows !== "good"))
        yield* this.followRail(rail);
    }
  }

  private *followRail(rail: string): Work<void> {
    if ((yield* this.read(this.schematic.short(rail))) === "short") yield* this.findShort(rail);
    // Upstream until a good rail is found: what lies between is at fault.
    const seen = new Set([rail]);
    let feeders: number[] = [];
    let bad: string | undefined = rail;
    while (bad !== undefined) {
      feeders = this.schematic.driversOf(bad);
      const above: string[] = this.railsAbove(feeders).filter((line) => !seen.has(line));
      bad = undefined;
      for (const line of above) {
        seen.add(line);
        if (yield* this.surprises(this.schematic.rail(line), (shows) => shows !== "good")) {
          bad = line;
          break;
        }
      }
    }
    const refs = new Set(feeders);
    yield* this.repairAll((part) => refs.has(part.index));
    const touched = [...seen].flatMap((line) => this.schematic.partsOn(line));
    const near = new Set(touched);
    yield* this.repairAll((part) => near.has(part.index) && part.part.section === "supply");
  }

  /** Rails on the other side of the parts that feed a rail. */
  private railsAbove(feeders: readonly number[]): string[] {
    const { parts, pins, nets, netDuty } = this.prepared.circuit.wiring;
    const lines = feeders.flatMap((part) =>
      (parts[part]?.pins ?? []).flatMap((pin) => {
        const net = pins[pin]?.net ?? -1;
        return net >= 0 && netDuty[net] === 1 ? [nets[net] ?? ""] : [];
      }),
    );
    return [...new Set(lines)];
  }

  /**
   * A rail shorted to ground: the board felt for the one hot part, the drop along the rail followed to where it is
   * lowest, then capacitors there lifted and measured one by one, those close by first, tantalum and electrolytic ones
   * before others.
   */
  private *findShort(rail: string): Work<void> {
    const { parts } = this.prepared.circuit.wiring;
    const hot = yield* this.read(this.schematic.heatSweep());
    if (hot !== nothingFound) {
      const again = yield { step: this.schematic.heatSweep(), stop: false };
      if (again.shows === hot) yield* this.repairAll((part) => part.part.ref === hot, ["replace"]);
    }
    const lowest = yield* this.read(this.schematic.railDrop(rail));
    // The drop is easily misread: parts further off come later, not never.
    const rank = (part: CircuitPart): number =>
      (this.schematic.isNear(part, lowest) ? 0 : 2) + (/tantalum|aluminium/.test(part.type.type) ? 0 : 1);
    const twoLegged = this.schematic
      .partsOn(rail)
      .flatMap((index) => parts[index] ?? [])
      .filter((part) => part.pins.length === 2)
      .sort((a, b) => rank(a) - rank(b) || this.byOdds(a, b));
    for (const part of twoLegged) {
      if (yield* this.surprises(this.schematic.liftedPart(part.part.ref), (shows) => shows === "short"))
        yield* this.repairAll((other) => other.index === part.index, ["replace"]);
    }
  }

  private byOdds(a: CircuitPart, b: CircuitPart): number {
    return this.ledger.oddsOf(b.index, "replace") - this.ledger.oddsOf(a.index, "replace");
  }

  /** Takes every socketed chip of the complaint's sections out, cleans it and puts it back; one check after the last. */
  *reseat(complaint: Complaint): Work<void> {
    const socketed = this.prepared.board.parts.filter(
      (part) => part.socketed === true && complaint.sections.includes(part.section),
    );
    const { check } = this.prepared.data.costs.repairs;
    for (const [i, part] of socketed.entries()) {
      const step = repairStep(this.prepared, part.ref, "reseat");
      const last = i === socketed.length - 1;
      yield* this.repair(last ? step : { ...step, minutes: step.minutes - check });
    }
  }

  /** Swaps the socketed chips of the complaint's sections: that takes minutes and harms nothing. */
  *swapSocketed(complaint: Complaint): Work<void> {
    yield* this.repairAll(
      (part) => part.part.socketed === true && complaint.sections.includes(part.part.section),
      ["replace"],
    );
  }

  /** Everything else: the complaint's sections together, then the rest of the board, then what rails had cleared. */
  *replaceOn(complaint: Complaint): Work<void> {
    const inside = complaint.sections.map((section) => inSection(this.prepared, section));
    yield* this.repairAll((part) => inside.some((takes) => takes(part)));
    yield* this.repairAll((part) => part.part.section !== "supply" && !onlySupplies(this.prepared, part));
    yield* this.repairAll(() => true);
  }
}
