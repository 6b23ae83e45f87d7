import { failureModes } from "../board/failure-mode.js";
import type { Case } from "./case/case.js";
import { standingEntries } from "./case/case.js";
import { isMisplaced, placeNamed } from "./evidence/place-name.js";
import { readTimeline, type Timeline } from "./evidence/timeline.js";
import { enumerateFaults } from "./faults/enumerate.js";
import { oddsFromPriors, spreadTouches } from "./faults/odds.js";
import { repairCost, repairOf } from "./plan/costs.js";
import { liveHypotheses } from "./plan/problem.js";
import type { PreparedBoard } from "./prepare.js";
import { type BoardPriors, boardPriors } from "./priors/board-priors.js";
import { type EventKind, eventKinds, type MachineEvent } from "./priors/events.js";
import { faultIntensity } from "./priors/expected-faults.js";
import { type Beliefs, beliefByPart, formBeliefs, type PartBelief } from "./reason/beliefs.js";
import type { Arising } from "./reason/history.js";
import { type PairLimits, type PairResult, scorePairs } from "./reason/pairs.js";
import { type SinglePosterior, scoreSingles } from "./reason/posterior.js";
import { createSpace, type FaultSpace, faultOfHypothesis, hypothesisOfFault } from "./reason/space.js";
import { Explainer } from "./result/explain.js";
import { planNext } from "./result/next.js";
import type { FindResult, Suspect, SuspectGroup } from "./result/result.js";

/** How thoroughly a case is worked out. */
export interface FindOptions {
  readonly pairLimits?: PairLimits;
  /** Number of next steps listed; 0 to skip planning. */
  readonly steps?: number;
}

const usualPairLimits: PairLimits = { candidates: 60, settle: 400 };

/** Everything inferred from a case, for callers that go on reasoning with it. */
export interface SolvedCase {
  readonly space: FaultSpace;
  readonly timeline: Timeline;
  readonly singles: SinglePosterior;
  readonly pairs: PairResult;
  readonly beliefs: Beliefs;
  readonly byPart: readonly PartBelief[];
  readonly priors: BoardPriors;
}

/** Infers how likely each fault is after a log. */
export function solveCase(prepared: PreparedBoard, logged: Case, options: FindOptions = {}): SolvedCase {
  const { circuit, data } = prepared;
  const { early, dated, problems } = eventsOf(prepared, logged);
  const priors = boardPriors(data.failure, prepared.board, (name) => data.types.get(name), {
    ...(logged.year === undefined ? {} : { presentYear: logged.year }),
    events: early,
    overrides: overridesOf(prepared, logged),
  });
  const list = enumerateFaults(circuit, oddsFromPriors(data.failure, priors));
  const space = createSpace({
    circuit,
    model: data.model,
    faults: list.faults,
    effects: prepared.list.effects,
    table: prepared.table,
    rates: prepared.rates,
    expectedFaults: faultIntensity(priors.expectedFaults),
  });
  const timeline = readTimeline(space, logged);
  const arising = arisingFaults(prepared, space, priors, dated, timeline);
  for (const [f, list_] of arising) {
    // Work done before the machine failed adds to the odds of having been there from the start.
    for (const one of list_)
      if (one.epoch === 0)
        space.odds[hypothesisOfFault(f)] = (space.odds[hypothesisOfFault(f)] as number) + one.odds;
  }
  const arisingOf = arisingByFault(space, arising);
  const singles = scoreSingles(space, timeline, arisingOf);
  const pairs = scorePairs(
    space,
    timeline,
    singles,
    arisingOf,
    prepared.pairSettler,
    options.pairLimits ?? usualPairLimits,
  );
  const beliefs = formBeliefs(space, singles, pairs);
  const byPart = beliefByPart(space, pairs, beliefs);
  return {
    space,
    timeline: { ...timeline, problems: [...timeline.problems, ...problems] },
    singles,
    pairs,
    beliefs,
    byPart,
    priors,
  };
}

/** Works a case out in full: suspects, groups, next steps, explanation. */
export function findFaults(prepared: PreparedBoard, logged: Case, options: FindOptions = {}): FindResult {
  const solved = solveCase(prepared, logged, options);
  const { space, timeline, singles, pairs, beliefs, byPart } = solved;
  const { wiring } = prepared.circuit;
  const explainer = new Explainer(space, timeline, singles, beliefs);
  const spares = new Set(logged.spares ?? []);
  const suspects = byPart
    .filter((belief) => belief.probability >= 1e-5)
    .map((belief, rank): Suspect => {
      const part = wiring.parts[belief.part];
      if (part === undefined) throw new RangeError(`part ${belief.part} is not on the board`);
      const lead = belief.faults[0]?.fault;
      const repair = lead === undefined ? "replace" : repairOf(lead);
      return {
        part: part.part.ref,
        type: part.type.type,
        title: part.type.title,
        section: part.part.section,
        socketed: part.part.socketed === true,
        probability: belief.probability,
        modes: belief.faults.slice(0, 6).map(({ fault, probability }) => ({
          mode: fault.mode,
          meaning: failureModes[fault.mode],
          site: fault.site,
          detail: fault.detail,
          manifestation: fault.manifestation,
          probability,
        })),
        evidence: rank < 10 ? explainer.evidenceFor(belief.part) : [],
        repair,
        repairCost: repairCost(prepared.data.costs, part, repair, spares.has(part.type.type)),
      };
    });
  const powerAllowed = timeline.supplyGate === "passed";
  const count = options.steps ?? 5;
  const plan =
    count === 0
      ? { steps: [], stop: false }
      : planNext({
          space,
          costs: prepared.data.costs,
          logged,
          live: liveHypotheses(space, singles, pairs, beliefs, prepared.pairSettler, {
            limit: 1500,
            neglected: 0.002,
          }),
          byPart,
          powerAllowed,
          reported: reportedSince(prepared, logged),
          taken: takenSince(prepared, logged),
          count,
        });
  return {
    board: prepared.board.id,
    suspects,
    groups: groupsOf(prepared, space, beliefs),
    next: plan.steps,
    stop: plan.stop,
    notInModel: beliefs.notInModel,
    nothingLeft: beliefs.nothingLeft,
    contradiction: explainer.contradiction(beliefs.notInModel),
    supplyGate: { state: timeline.supplyGate, implied: timeline.gateImplied },
    pairs: {
      looked: pairs.pairs.length,
      settledTogether: pairs.settledTogether,
      leftOut: pairs.leftOut,
      leading: leadingPairs(space, pairs, beliefs),
    },
    warnings: warningsOf(prepared, timeline),
    problems: timeline.problems,
  };
}

function leadingPairs(
  space: FaultSpace,
  pairs: PairResult,
  beliefs: Beliefs,
): FindResult["pairs"]["leading"] {
  const order = Array.from(beliefs.pair.keys()).sort(
    (a, b) => (beliefs.pair[b] as number) - (beliefs.pair[a] as number),
  );
  return order.slice(0, 5).flatMap((i) => {
    const pair = pairs.pairs[i];
    const a = pair === undefined ? undefined : faultOfHypothesis(space, pair.first);
    const b = pair === undefined ? undefined : faultOfHypothesis(space, pair.second);
    const probability = beliefs.pair[i] as number;
    if (a === undefined || b === undefined || probability < 0.005) return [];
    const ref = (part: number): string => space.circuit.wiring.parts[part]?.part.ref ?? "?";
    return [{ parts: [ref(a.part), ref(b.part)] as const, faults: [a.id, b.id] as const, probability }];
  });
}

/** Faults that nothing outside can tell apart: same effect class, same signs with the power off, same timing. */
function groupsOf(prepared: PreparedBoard, space: FaultSpace, beliefs: Beliefs): SuspectGroup[] {
  const groups = new Map<string, { hypotheses: number[]; probability: number }>();
  for (let h = 0; h < space.odds.length; h += 1) {
    const fault = faultOfHypothesis(space, h);
    const now = beliefs.faultNow[h] as number;
    if (fault === undefined || now < 1e-6) continue;
    const { shortedNet, bridged, current, cutPin, deviceReads, hot } = fault.signs;
    const own = hot === true || deviceReads !== undefined ? fault.part : "";
    const key = [
      prepared.effectClass[fault.effect],
      fault.manifestation,
      shortedNet,
      bridged?.join("+"),
      current,
      cutPin,
      deviceReads,
      own,
    ].join("|");
    const known = groups.get(key) ?? { hypotheses: [], probability: 0 };
    known.hypotheses.push(h);
    known.probability += now;
    groups.set(key, known);
  }
  const ref = (part: number): string => space.circuit.wiring.parts[part]?.part.ref ?? "?";
  return [...groups.values()]
    .sort((a, b) => b.probability - a.probability || (a.hypotheses[0] ?? 0) - (b.hypotheses[0] ?? 0))
    .slice(0, 40)
    .map(({ hypotheses, probability }) => {
      const members = hypotheses
        .flatMap((h) => {
          const fault = faultOfHypothesis(space, h);
          if (fault === undefined) return [];
          return [
            {
              part: ref(fault.part),
              mode: fault.mode,
              site: fault.site,
              detail: fault.detail,
              probability: beliefs.faultNow[h] as number,
            },
          ];
        })
        .sort((a, b) => b.probability - a.probability);
      return { probability, members, parts: [...new Set(members.map((member) => member.part))] };
    });
}

function warningsOf(prepared: PreparedBoard, timeline: Timeline): string[] {
  const warnings: string[] = [];
  if (timeline.gateImplied)
    warnings.push(
      "The log holds powered readings, so the supply gate counts as passed; check the supply if that was not done.",
    );
  const unexplained = prepared.circuit.unexplained.length;
  if (unexplained > 0)
    warnings.push(
      `The healthy board leaves ${unexplained} net values unexplained; 'boardwake board check' lists them.`,
    );
  for (const part of prepared.board.parts) {
    const minus = missingMinusFive(prepared, timeline, part.ref);
    if (minus !== undefined) warnings.push(minus);
  }
  return [...new Set(warnings)];
}

/** 4116-class memory run without its -5 V while +12 V is on is damaged as a rule (common practice, no source). */
function missingMinusFive(prepared: PreparedBoard, timeline: Timeline, ref: string): string | undefined {
  const part = prepared.circuit.wiring.parts[prepared.circuit.wiring.partIndex.get(ref) ?? -1];
  if (
    part === undefined ||
    part.type.family !== "dram" ||
    !part.type.rails.some((rail) => rail.nominalVolt < 0)
  )
    return undefined;
  const absent = timeline.epochs
    .flat()
    .some((one) => /-\s*0?\.?\d*\s*V \(-5 V wanted\)/.test(one.label) && !/-[45]\.\d/.test(one.label));
  return absent
    ? `${part.type.type} memory that ran without its -5 V while +12 V was on may be damaged: test all of it once the rail is back.`
    : undefined;
}

/** Machine observables reported since the last change of the machine. */
function reportedSince(prepared: PreparedBoard, logged: Case): Set<string> {
  const reported = new Set<string>();
  for (const { entry } of standingEntries(logged.entries)) {
    if (entry.kind === "swap" || entry.kind === "repair" || entry.kind === "reseat") {
      if (entry.result !== "unchanged") reported.clear();
    }
    if (entry.kind !== "symptom") continue;
    const symptom = prepared.data.model.symptoms.find((s) => s.id === entry.what);
    if (symptom !== undefined) reported.add(symptom.observable);
  }
  return reported;
}

/** Ids of readings taken since the last change, as the plan names them. */
function takenSince(prepared: PreparedBoard, logged: Case): Set<string> {
  const taken = new Set<string>();
  const { wiring } = prepared.circuit;
  for (const { entry } of standingEntries(logged.entries)) {
    if (entry.kind === "swap" || entry.kind === "repair" || entry.kind === "reseat") taken.clear();
    if (entry.kind === "piggyback") taken.add(`piggyback:${entry.part}`);
    if (entry.kind === "other-supply") taken.add("other-supply");
    if (entry.kind === "warmed" || entry.kind === "cooled" || entry.kind === "flexed") taken.add(entry.kind);
    if (entry.kind === "removed") {
      const name = entry.at.replace(/^net:/, "");
      taken.add(`removal:${entry.part}:${name}`).add(`lifted:${entry.part}`);
    }
    if (entry.kind !== "reading") continue;
    const place = placeNamed(prepared.circuit, entry.at);
    if (isMisplaced(place)) continue;
    if (place.kind === "supply") taken.add("current");
    if (place.kind === "part")
      for (const kind of ["visual", "heat", "tester", "device"])
        if (kindFits(kind, entry.with)) taken.add(`${kind}:${place.label}`);
    if (place.kind === "pins") taken.add(`continuity:${place.label}`);
    if (place.kind !== "net" && place.kind !== "pin") continue;
    const net = wiring.nets[place.net] ?? "";
    if (wiring.netDuty[place.net] === 1) {
      if (entry.rippleVolts !== undefined) taken.add(`ripple:${net}`);
      else if (entry.ohms !== undefined || entry.when === "unpowered") taken.add(`short:${net}`);
      else taken.add(place.kind === "pin" ? `rail-at:${place.label}` : `rail:${net}`);
    } else if (entry.ohms !== undefined || entry.when === "unpowered") taken.add(`short:${net}`);
    else taken.add(`${entry.with}:${net}`);
  }
  return taken;
}

function kindFits(kind: string, instrument: string): boolean {
  const fits: Record<string, readonly string[]> = {
    visual: ["eye"],
    heat: ["finger", "thermometer"],
    tester: ["chip-tester"],
    device: ["multimeter"],
  };
  return fits[kind]?.includes(instrument) ?? false;
}

interface DatedEvent {
  readonly event: MachineEvent;
  readonly epoch: number;
}

/** Events of the log as the priors take them: those before the failure shape the priors, later ones are dated. */
function eventsOf(
  prepared: PreparedBoard,
  logged: Case,
): { early: MachineEvent[]; dated: DatedEvent[]; problems: Timeline["problems"] } {
  const early: MachineEvent[] = [];
  const dated: DatedEvent[] = [];
  const problems: Timeline["problems"][number][] = [];
  let epoch = 0;
  let anything = false;
  for (const { number, entry } of standingEntries(logged.entries)) {
    if (entry.kind === "swap" || entry.kind === "repair" || entry.kind === "reseat") {
      if (!prepared.circuit.wiring.partIndex.has(entry.part)) continue;
      epoch += 1;
      const socketed = prepared.board.parts.find((part) => part.ref === entry.part)?.socketed === true;
      const kind: EventKind =
        entry.kind === "repair"
          ? entry.what === "resoldered"
            ? "soldering"
            : "part-replaced"
          : socketed
            ? "reseated"
            : "part-replaced";
      dated.push({ event: { kind, parts: [entry.part] }, epoch });
    } else if (entry.kind === "event") {
      const kind = eventKinds.find((known) => known === entry.what);
      if (kind === undefined) {
        problems.push({
          code: "unknown-event",
          severity: "error",
          message: `there is no event called '${entry.what}'`,
          where: { field: `entries[${number - 1}]` },
          hint: `Known events: ${eventKinds.join(", ")}.`,
        });
        continue;
      }
      const event: MachineEvent = { kind, ...(entry.part === undefined ? {} : { parts: [entry.part] }) };
      const before = entry.before ?? !anything;
      if (before) early.push({ ...event, failedSince: true });
      else {
        epoch += 1;
        dated.push({ event, epoch });
      }
    } else anything = true;
  }
  return { early, dated, problems };
}

function arisingFaults(
  prepared: PreparedBoard,
  space: FaultSpace,
  priors: BoardPriors,
  dated: readonly DatedEvent[],
  timeline: Timeline,
): ReadonlyMap<number, readonly Arising[]> {
  const refOf = (part: number): string => prepared.circuit.wiring.parts[part]?.part.ref ?? "?";
  const later = dated.flatMap(({ event, epoch }) => {
    if (epoch >= timeline.epochs.length) return [];
    const touched = boardPriors(
      prepared.data.failure,
      prepared.board,
      (name) => prepared.data.types.get(name),
      { events: [event] },
    );
    return touched.touches.map((touch) => ({
      ref: touch.ref,
      mode: touch.mode,
      probability: touch.probability,
      epoch,
    }));
  });
  const first = priors.touches.map((touch) => ({
    ref: touch.ref,
    mode: touch.mode,
    probability: touch.probability,
    epoch: 0,
  }));
  return spreadTouches(space.faults, refOf, [...first, ...later]);
}

function arisingByFault(
  space: FaultSpace,
  arising: ReadonlyMap<number, readonly Arising[]>,
): (fault: FaultSpace["faults"][number]) => readonly Arising[] {
  const byId = new Map<string, readonly Arising[]>();
  for (const [f, list] of arising) {
    const fault = space.faults[f];
    const later = list.filter((one) => one.epoch > 0);
    if (fault !== undefined && later.length > 0) byId.set(fault.id, later);
  }
  return (fault) => byId.get(fault.id) ?? [];
}

/** Factors the user set per part or family multiply the trade factor. */
function overridesOf(
  prepared: PreparedBoard,
  logged: Case,
): NonNullable<Parameters<typeof boardPriors>[3]>["overrides"] & object {
  const parts: Record<string, { history: number }> = {};
  const families: Record<string, { history: number }> = {};
  for (const [name, factor] of Object.entries(logged.priorFactors ?? {})) {
    if (prepared.circuit.wiring.partIndex.has(name)) parts[name] = { history: factor };
    else families[name] = { history: factor };
  }
  return { parts, families };
}
