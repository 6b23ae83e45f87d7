import type { Parsed, Problem } from "../../base/problem.js";
import {
  type Board,
  type BoardPart,
  boardFormatVersion,
  boardSchema,
  type Section,
  sections,
} from "../board.js";
import { type BoardLayout, boardLayoutOf } from "../import-layout.js";
import type { PartType } from "../part-type.js";
import { layPlainGrid } from "../plain-grid.js";
import { boardFlaws, type PartTypeSource } from "../read/board-semantics.js";
import { renderPath } from "../read/json-places.js";
import type { NetlistDraft } from "../read/netlist-draft.js";
import { createProblemList } from "../read/problem-list.js";
import { pinNumbersOf } from "../type-pins.js";
import { findBusTargets } from "./bus-targets.js";
import { describeComponents } from "./component-facts.js";
import { anyGlobMatches } from "./glob.js";
import type { Guess } from "./guess.js";
import { makeLocalTypes } from "./local-types.js";
import { guessMemory } from "./memory.js";
import { nameNets } from "./name-nets.js";
import { netOfPin, pinNumber, type TypedPart } from "./net-levels.js";
import type { ImportOverrides } from "./overrides.js";
import { planPhases } from "./phases.js";
import { type PlacedPart, placeParts } from "./placed-parts.js";
import type { RecognitionData } from "./recognition-data.js";
import { findSupplies, type SupplyPin } from "./supplies.js";
import { readHertz } from "./values.js";

/** What a netlist is turned into a board with. */
export interface ImportContext {
  readonly library: PartTypeSource;
  readonly recognition: RecognitionData;
  /** Name of the netlist file, with or without folders; gives the board its id. */
  readonly fileName: string;
  readonly overrides?: ImportOverrides;
}

/** A board made from a netlist, with everything that was guessed on the way. */
export interface ImportedBoard extends Parsed<Board> {
  /** One entry for each part, supply net, phase and memory region, with the reason. */
  readonly guesses: readonly Guess[];
  /** Types made for components the library does not know; the board needs them beside the library. */
  readonly localTypes: readonly PartType[];
}

/**
 * Makes a board from a netlist: recognises the parts, finds ground and rails, sets the jumpers, and plans the phases
 * and the memory map as far as the circuit shows them. Parts lie where the draft's layout has them, and in a row below
 * the board if it has none of them; without a layout all lie on a plain grid.
 * The value, if there is one, fits `boardSchema`, and its names are sound against the library with `localTypes`.
 * Codes: `no-ground`, `no-parts`, `unknown-type`, `unknown-part`, `unknown-pin`, `unusable-ref`, and those of `boardFlaws`.
 */
export function boardFromNetlist(draft: NetlistDraft, context: ImportContext): ImportedBoard {
  const { recognition, library, fileName } = context;
  const problems = createProblemList(fileName);
  const guesses: Guess[] = [];
  const components = describeComponents(draft);
  const placement = placeParts(components, {
    library,
    recognition,
    overrides: context.overrides ?? {},
    file: fileName,
  });
  problems.addAll(placement.problems);
  guesses.push(...placement.guesses);
  const fail = (code: string, message: string, hint: string): ImportedBoard => {
    problems.error(code, message, {}, hint);
    return { problems: problems.all(), guesses, localTypes: [] };
  };
  if (placement.parts.length === 0) {
    return fail(
      "no-parts",
      "The netlist has no components that are parts of a circuit.",
      "Export it again from the finished schematic.",
    );
  }

  const named = nameNets(placement.parts, draft.nets, recognition.nets);
  const supplies = findSupplies(
    { nets: named.nets, pins: supplyPins(named.parts), joined: jumperPairs(named.parts) },
    recognition.nets,
  );
  guesses.push(...supplies.guesses);
  const { ground } = supplies;
  if (ground === undefined) {
    return fail(
      "no-ground",
      "No net looks like ground, by its name or by the pins on it.",
      "Name the ground net GND in the schematic.",
    );
  }
  const joinGround = (net: string): string => (supplies.alsoGround.includes(net) ? ground : net);
  const placed = named.parts.map((part) => ({
    ...part,
    nets: new Map([...part.nets].map(([pin, net]) => [pin, joinGround(net)])),
  }));
  const { parts: typed, localTypes } = makeLocalTypes(placed, { library, ground, rails: supplies.rails });
  const layout = draft.layout === undefined ? undefined : boardLayoutOf(draft.layout);
  const boardParts = layOut(typed, recognition, layout);
  const typedParts: TypedPart[] = boardParts.map(({ part, type }) => ({ part, type }));

  const processor = typedParts.find(({ type }) => type.behaviour.kind === "processor");
  if (processor !== undefined) {
    guesses.push({
      subject: processor.part.ref,
      taken: "the processor",
      reason: `a ${processor.type.type} is one`,
      certainty: "sure",
    });
  }
  const targets = findBusTargets(typedParts, processor === undefined ? undefined : dataBus(processor));
  const circuit = { ground, rails: supplies.rails };
  const isActiveLow = (net: string): boolean => anyGlobMatches(recognition.nets.activeLow, net);
  const plan = planPhases({ board: circuit, parts: typedParts, processor, targets, isActiveLow });
  guesses.push(...plan.guesses);
  const memory = guessMemory(targets, plan.ranges);
  guesses.push(...memory.guesses);

  const outline = layout?.outline ?? layPlainGrid(boardParts.length).outline;
  const baseName = fileName.split(/[\\/]/).at(-1) ?? fileName;
  const board: Board = {
    formatVersion: boardFormatVersion,
    id: boardId(baseName),
    title: draft.title ?? baseName.replace(/\.[^.]*$/, ""),
    summary: `Made from ${layout === undefined ? "a netlist" : "a layout"} with ${boardParts.length} parts; ${layout === undefined ? "positions are a plain grid, and " : ""}the functions were guessed.`,
    outline,
    ...circuit,
    parts: boardParts.map(({ part }) => part).sort((a, b) => (a.ref < b.ref ? -1 : a.ref > b.ref ? 1 : 0)),
    ...(processor === undefined ? {} : { processor: processor.part.ref }),
    steady: plan.steady,
    phases: plan.phases,
    memory: memory.regions,
    chain: { memoryFigure: false },
    accepted: [],
    sources: [],
  };
  const flaws = finalFlaws(board, withLocalTypes(library, localTypes), fileName);
  problems.addAll(flaws);
  const result = { problems: problems.all(), guesses, localTypes };
  return flaws.some((flaw) => flaw.severity === "error") ? result : { value: board, ...result };
}

/** The library with the types made for one board added to it. */
export function withLocalTypes(library: PartTypeSource, localTypes: readonly PartType[]): PartTypeSource {
  const local = new Map(localTypes.map((type) => [type.type, type]));
  return {
    get: (type) => library.get(type) ?? local.get(type),
    names: () => [...library.names(), ...local.keys()],
  };
}

/** `easy-z80` for `Easy_Z80.net`; `board` if no letter or digit is left. */
export function boardId(fileName: string): string {
  const plain = fileName
    .replace(/\.[^.]*$/, "")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 60);
  return plain === "" ? "board" : plain;
}

function supplyPins(parts: readonly PlacedPart[]): SupplyPin[] {
  const found: SupplyPin[] = [];
  for (const { component, type, nets } of parts) {
    if (type === undefined) {
      for (const pin of component.symbolPins) {
        const net = nets.get(pin.number);
        if (net === undefined || pin.electricalType.toLowerCase() !== "power_in") continue;
        const kind = /^(a|d)?gnd|^vss|^0v/i.test(pin.name) ? "ground" : "power";
        found.push({ net, kind, feedsRegulator: false });
      }
      continue;
    }
    for (const pin of type.pins === "as-board" ? [] : type.pins) {
      const net = nets.get(pin.number);
      if (net === undefined || (pin.kind !== "power" && pin.kind !== "ground")) continue;
      const nominalVolt = type.rails.find((rail) => rail.pin === pin.name)?.nominalVolt;
      const { behaviour } = type;
      const feedsRegulator = behaviour.kind === "supply" && behaviour.inputs.includes(pin.name);
      const volts = nominalVolt === undefined ? {} : { nominalVolt };
      found.push({ net, kind: pin.kind, feedsRegulator, ...volts });
    }
  }
  return found;
}

function jumperPairs(parts: readonly PlacedPart[]): (readonly [string, string])[] {
  return parts.flatMap(({ type, nets }) => {
    const [first, second] = [...nets.values()];
    const isJumper = type?.behaviour.kind === "plain" && type.behaviour.as === "jumper";
    return isJumper && first !== undefined && second !== undefined ? [[first, second] as const] : [];
  });
}

function dataBus({ part, type }: TypedPart): string[] {
  if (type.behaviour.kind !== "processor") return [];
  return type.behaviour.data.flatMap((name) => netOfPin(part, pinNumber(type, name) ?? "") ?? []);
}

function layOut(
  parts: readonly (PlacedPart & { readonly type: PartType })[],
  recognition: RecognitionData,
  layout: BoardLayout | undefined,
): { readonly part: BoardPart; readonly type: PartType }[] {
  const ranked = parts
    .map((placed) => ({ placed, section: sectionOf(placed.type, recognition) }))
    .sort((a, b) => sections.indexOf(a.section) - sections.indexOf(b.section));
  const { positions } = layPlainGrid(ranked.length);
  let below = 0;
  return ranked.map(({ placed, section }, i) => {
    const { component, type } = placed;
    const place =
      layout === undefined
        ? { ...(positions[i] ?? { xMillimetre: 0, yMillimetre: 0 }), rotationDegree: 0 as const }
        : (placeOf(placed, type, layout) ?? belowBoard(layout, below++));
    const value = component.value.trim();
    const isClock = type.family === "crystal" || type.family === "oscillator-module";
    const frequencyHertz = isClock ? readHertz(value) : undefined;
    const isSocketed = anyGlobMatches(recognition.nets.socketFootprints, component.footprint);
    const part: BoardPart = {
      ref: placed.ref,
      type: type.type,
      ...(value === "" || value === type.type ? {} : { value }),
      ...(frequencyHertz === undefined ? {} : { frequencyHertz }),
      section,
      ...place,
      ...(isSocketed ? { socketed: true } : {}),
      pins: Object.fromEntries(placed.nets),
    };
    return { part, type };
  });
}

type Place = Pick<BoardPart, "xMillimetre" | "yMillimetre" | "rotationDegree" | "side" | "pads">;

/** Where the layout has a part, with the places of the type's pins; undefined if it is not there. */
function placeOf(
  { component, pinOfType }: PlacedPart,
  type: PartType,
  layout: BoardLayout,
): Place | undefined {
  const found = layout.places.get(component.ref);
  if (found === undefined) return undefined;
  const { xMillimetre, yMillimetre, rotationDegree, side } = found;
  const known = pinNumbersOf(type);
  const pads = found.pads.flatMap((pad): [string, [number, number]][] => {
    const pin = pinOfType === undefined ? pad.pin : pinOfType.get(pad.pin);
    const isPin = pin !== undefined && (known === undefined || known.has(pin));
    return isPin ? [[pin, [pad.xMillimetre, pad.yMillimetre]]] : [];
  });
  return {
    xMillimetre,
    yMillimetre,
    rotationDegree,
    ...(side === "back" ? { side } : {}),
    ...(pads.length === 0 ? {} : { pads: Object.fromEntries(pads) }),
  };
}

/** A place of its own in the row of parts that the layout does not have. */
function belowBoard({ outline }: BoardLayout, index: number): Place {
  return { xMillimetre: 10 + index * 20, yMillimetre: outline.heightMillimetre + 20, rotationDegree: 0 };
}

function sectionOf(type: PartType, { sections: names }: RecognitionData): Section {
  const special = names.types.find((entry) => anyGlobMatches(entry.types, type.type));
  return special?.section ?? names.families.find((entry) => entry.family === type.family)?.section ?? "other";
}

/** Whatever the board schema or the library would not take; none is expected. */
function finalFlaws(board: Board, types: PartTypeSource, file: string): Problem[] {
  const checked = boardSchema.safeParse(board);
  const misfits = (checked.error?.issues ?? []).map((issue): Problem => {
    const field = renderPath(issue.path.map((step) => (typeof step === "number" ? step : String(step))));
    return { code: "field-invalid", severity: "error", message: issue.message, where: { file, field } };
  });
  const flaws = boardFlaws(board, types).map(
    ({ code, severity, message, path }): Problem => ({
      code,
      severity,
      message,
      where: { file, field: renderPath(path) },
    }),
  );
  return [...misfits, ...flaws];
}
