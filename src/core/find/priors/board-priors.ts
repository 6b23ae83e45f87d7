import type { Board, Section } from "../../board/board.js";
import {
  type BoardPriorPart,
  boardPriorParts,
  eventPlace,
  type FindPartType,
  nearParts,
} from "./board-parts.js";
import { meanSeparateFaults } from "./count-histories.js";
import { type EventFactor, eventFactor, type MachineEvent, type TouchPrior, touchPriors } from "./events.js";
import type { FailureData } from "./failure-data.js";
import { type FaultFamily, structures } from "./fault-family.js";
import { type FieldFactor, type FieldFactors, fieldFactors, fieldGroup } from "./field-factor.js";
import { handbookRate } from "./handbook-rate.js";
import { type PartPrior, type PriorContext, type PriorOverrides, ratePrior } from "./prior.js";
import { type StructurePlace, structurePlaceRate, structurePlaces } from "./structure-priors.js";
import { type PriorParameterName, priorParameter } from "./trade-factors.js";
import type { HistoryFactor } from "./update-by-history.js";

/** What the priors of a board depend on besides the board. */
export interface BoardPriorOptions {
  /** The present year, for the age; without it, or without the board's year, the assumed age is used. */
  readonly presentYear?: number;
  /** What happened to the machine, as far as the log says. */
  readonly events?: readonly MachineEvent[];
  /** Corrections from the bench's own closed jobs. */
  readonly history?: ReadonlyMap<FaultFamily, HistoryFactor>;
  readonly overrides?: PriorOverrides;
  /** Mean number of faults of a faulty machine; that of the counted histories if absent. */
  readonly expectedFaults?: number;
}

/** Prior of one place of a structure. `net` is the net of its first pin. */
export interface StructurePrior extends PartPrior, StructurePlace {
  readonly net: string | undefined;
}

/** All priors of a board. */
export interface BoardPriors {
  readonly parts: readonly PartPrior[];
  readonly structures: readonly StructurePrior[];
  /** Faults that logged own work may have made, as probabilities; they come on top of the rates. */
  readonly touches: readonly TouchPrior[];
  /** What the histories contributed, by group. */
  readonly field: FieldFactors;
  readonly expectedFaults: number;
  readonly ageYears: number;
}

interface Item {
  readonly family: FaultFamily;
  readonly section: Section;
  /** The prior with the given factors of the field and of events. */
  build(context: PriorContext): PartPrior;
  /** The places of a structure, which all have the same prior; empty for the part itself. */
  readonly places: readonly StructurePlace[];
  readonly owner: BoardPriorPart;
}

/**
 * Priors of every part and structure of a board. The histories' factor is worked out against the model as it stands
 * with the trade's and the age factors, before events and the bench's own jobs.
 * @throws RangeError if a part's type is unknown, or an override is out of range
 */
export function boardPriors(
  data: FailureData,
  board: Board,
  findType: FindPartType,
  options: BoardPriorOptions = {},
): BoardPriors {
  const { overrides, events = [] } = options;
  const parameter = (name: PriorParameterName): number =>
    priorParameter(data["trade-factors"], name, overrides?.parameters);
  const ageYears =
    board.year === undefined || options.presentYear === undefined
      ? parameter("assumedAgeYears")
      : Math.max(0, options.presentYear - board.year);
  const items = boardPriorParts(board, findType, ageYears).flatMap((part) => itemsOf(data, part));

  const groups = items.map((item) => fieldGroup(data["field-factors"], item.family, item.section) ?? "rest");
  const field = fieldFactors(
    data["field-factors"],
    ratesByGroup(items, groups, overrides),
    { fieldPseudoCount: parameter("fieldPseudoCount"), familyPseudoCount: parameter("familyPseudoCount") },
    board.machineFamily,
  );

  const near = nearParts(board);
  const priors = items.map((item, index) => {
    const place = eventPlace(item.family, item.owner.part.ref, item.owner.nets, near);
    const row = field.factors.find((factor) => factor.group === groups[index]);
    const event = eventFactor(data.events, events, place);
    return { item, prior: item.build(contextOf(row, event, options.history?.get(item.family), overrides)) };
  });
  return {
    parts: priors.filter(({ item }) => item.places.length === 0).map(({ prior }) => prior),
    structures: priors.flatMap(({ item, prior }) =>
      item.places.map((place) => ({
        ...prior,
        ...place,
        net: item.owner.structure.nets[place.pins[0] ?? ""],
      })),
    ),
    touches: touchPriors(data.events, events, (ref) => [...(near.get(ref) ?? [])]),
    field,
    expectedFaults: options.expectedFaults ?? meanSeparateFaults(data["field-factors"].counted),
    ageYears,
  };
}

function itemsOf(data: FailureData, owner: BoardPriorPart): Item[] {
  const { part, structure, pinCount } = owner;
  const { ref, section, ageYears } = part;
  const rate = handbookRate(data["handbook-217f"], data["family-models"], part);
  const own: Item = {
    family: part.family,
    section,
    owner,
    places: [],
    build: (context) => ratePrior(data, ref, part.family, rate, ageYears, context),
  };
  const places = structurePlaces(structure);
  return [
    own,
    ...structures.flatMap((name): Item[] => {
      const here = places.filter((place) => place.structure === name);
      if (here.length === 0) return [];
      const placeRate = structurePlaceRate(data, name, pinCount);
      // A part's own overrides are for the part; its contacts and tracks are overridden by family.
      const build = (context: PriorContext): PartPrior =>
        ratePrior(data, ref, name, placeRate, ageYears, withoutParts(context));
      return [{ family: name, section, owner, places: here, build }];
    }),
  ];
}

/** The model's rate of each group, all parts and places summed, before histories, events and own jobs. */
function ratesByGroup(
  items: readonly Item[],
  groups: readonly string[],
  overrides: PriorOverrides | undefined,
): Map<string, number> {
  const context: PriorContext = overrides === undefined ? {} : { overrides: withoutLaterFactors(overrides) };
  const rates = new Map<string, number>();
  for (const [index, item] of items.entries()) {
    const group = groups[index] ?? "rest";
    const count = Math.max(item.places.length, 1);
    rates.set(group, (rates.get(group) ?? 0) + count * item.build(context).total);
  }
  return rates;
}

function withoutParts(context: PriorContext): PriorContext {
  if (context.overrides === undefined) return context;
  const { parts: _, ...overrides } = context.overrides;
  return { ...context, overrides };
}

/** Overrides that shape the model the histories are compared with: those of handbook, trade and age. */
function withoutLaterFactors(overrides: PriorOverrides): PriorOverrides {
  const keep = <T extends Readonly<Record<string, number | undefined>>>(values: T) => {
    const { field: _field, event: _event, history: _history, ...rest } = values;
    return rest;
  };
  const mapValues = (
    table: Readonly<Record<string, Readonly<Record<string, number | undefined>>>> | undefined,
  ) => Object.fromEntries(Object.entries(table ?? {}).map(([key, values]) => [key, keep(values)]));
  return { parts: mapValues(overrides.parts), families: mapValues(overrides.families) };
}

function contextOf(
  field: FieldFactor | undefined,
  event: EventFactor,
  history: HistoryFactor | undefined,
  overrides: PriorOverrides | undefined,
): PriorContext {
  return {
    eventFactor: event,
    ...(field === undefined ? {} : { fieldFactor: { value: field.factor, why: fieldReason(field) } }),
    ...(history === undefined
      ? {}
      : { historyFactor: { value: history.value, why: historyReason(history) } }),
    ...(overrides === undefined ? {} : { overrides }),
  };
}

function fieldReason(field: FieldFactor): string {
  const faults = field.count + field.machineFamilyCount;
  const { title, modelShare, share } = field;
  return `${title}: ${faults} faults in the histories; ${percent(modelShare)} of this board's rate before, ${percent(share)} after.`;
}

function historyReason(history: HistoryFactor): string {
  return `Your closed jobs: ${history.found} found, ${history.expected.toFixed(2)} expected.`;
}

function percent(share: number): string {
  return `${(100 * share).toFixed(1)} %`;
}
