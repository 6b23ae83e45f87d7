import type { Problem } from "../../base/problem.js";
import type { PartType } from "../part-type.js";
import type { PartTypeSource } from "../read/board-semantics.js";
import { createProblemList, quoted } from "../read/problem-list.js";
import { nearestHint } from "../read/schema-problems.js";
import type { NetlistComponent } from "./component-facts.js";
import type { Guess } from "./guess.js";
import type { ImportOverrides } from "./overrides.js";
import { partOfType, recognisePart } from "./recognise-part.js";
import type { RecognitionData } from "./recognition-data.js";

/** A component as it will stand on the board; a jumper may become several, one for each pair of joined pins. */
export interface PlacedPart {
  readonly ref: string;
  readonly component: NetlistComponent;
  /** Absent until a type is made for a component nobody knows. */
  readonly type: PartType | undefined;
  /** Net, as the netlist names it, by pin number of the type. */
  readonly nets: ReadonlyMap<string, string>;
  /** Pin number of the type by pin number of the component, where the two differ. */
  readonly pinOfType?: ReadonlyMap<string, string>;
}

/** The parts of a board, with what was taken for granted on the way. */
export interface Placement {
  readonly parts: readonly PlacedPart[];
  readonly guesses: readonly Guess[];
  readonly problems: readonly Problem[];
}

/** How components are placed. */
export interface PlacementContext {
  readonly library: PartTypeSource;
  readonly recognition: RecognitionData;
  readonly overrides: ImportOverrides;
  readonly file?: string;
}

// The board schema's bound on references, less room for the number of a pair of pins.
const longestRef = 34;
const jumperType = "jumper";

/** Gives each component its type and pins, sets jumpers, and leaves out what is no part of the circuit. */
export function placeParts(components: readonly NetlistComponent[], context: PlacementContext): Placement {
  const { overrides, library } = context;
  const problems = createProblemList(context.file);
  const guesses: Guess[] = [];
  const parts: PlacedPart[] = [];
  const refs = new Set(components.map((component) => component.ref));
  for (const [ref, type] of Object.entries(overrides.types ?? {})) {
    if (!refs.has(ref))
      problems.error(
        "unknown-part",
        `The overrides give a type for ${quoted(ref)}, which is not in the netlist.`,
        {},
        () => nearestHint(ref, refs),
      );
    if (library.get(type) === undefined)
      problems.error(
        "unknown-type",
        `The overrides name the part type ${quoted(type)}, which there is not.`,
        {},
        () => nearestHint(type, library.names()),
      );
  }
  for (const ref of Object.keys(overrides.jumpers ?? {})) {
    if (!refs.has(ref))
      problems.error(
        "unknown-part",
        `The overrides set the jumper ${quoted(ref)}, which is not in the netlist.`,
        {},
        () => nearestHint(ref, refs),
      );
  }
  for (const component of components) {
    const { ref } = component;
    const where = { line: component.component.line };
    if (ref.length > longestRef) {
      problems.error(
        "unusable-ref",
        `The reference ${quoted(ref)} is longer than ${longestRef} characters; the part was left out.`,
        where,
      );
      continue;
    }
    const leaveOut = (reason: string): void => {
      guesses.push({ subject: ref, taken: "no part of the circuit", reason, certainty: "sure" });
    };
    if (component.component.notFitted) {
      leaveOut("it is marked as not fitted");
      continue;
    }
    const pairs = ownEntry(overrides.jumpers, ref);
    if (pairs !== undefined) {
      const unknown = pairs.flat().find((pin) => !component.netOfPin.has(pin));
      if (unknown !== undefined)
        problems.error(
          "unknown-pin",
          `The overrides join pin ${quoted(unknown)} of ${ref}, which is on no net.`,
          where,
        );
      guesses.push({
        subject: ref,
        taken: describePairs(pairs),
        reason: "given by the user",
        certainty: "sure",
      });
      parts.push(...jumperParts(component, pairs, library.get(jumperType)));
      continue;
    }
    const forced = ownEntry(overrides.types, ref);
    const part = forced === undefined ? undefined : partOfType(component, forced, library);
    if (forced !== undefined && part === undefined && library.get(forced) !== undefined) {
      problems.error(
        "unknown-pin",
        `${ref} has pins that a ${forced} lacks; the type given for it was not used.`,
        where,
      );
    }
    const found =
      part === undefined
        ? recognisePart(component, library, context.recognition)
        : ({ kind: "part", part } as const);
    if (found.kind === "left-out") {
      leaveOut(found.reason);
    } else if (found.kind === "unknown") {
      problems.warning(
        "unknown-type",
        `${ref} (${quoted(component.value || component.libraryPart)}) is not recognised: ${found.reason}. It is treated as a chip whose outputs are right only if all its inputs are.`,
        where,
        "Give its type in the overrides file if the part library has one that fits.",
      );
      parts.push({ ref, component, type: undefined, nets: component.netOfPin });
    } else {
      const { type, reason, certainty, pins, bridges } = found.part;
      const taken = bridges === undefined ? type : `${type}, ${describePairs(bridges)}`;
      guesses.push({ subject: ref, taken, reason, certainty });
      if (bridges === undefined)
        parts.push({
          ref,
          component,
          type: library.get(type),
          nets: netsOf(component, pins),
          ...([...pins].every(([own, ofType]) => own === ofType) ? {} : { pinOfType: pins }),
        });
      else parts.push(...jumperParts(component, bridges, library.get(type)));
    }
  }
  return { parts, guesses, problems: problems.all() };
}

type Pairs = readonly (readonly [string, string])[];

/** A field of a record that came from a file; names such as `constructor` are fields only if the file has them. */
function ownEntry<T>(record: Readonly<Record<string, T>> | undefined, key: string): T | undefined {
  return record !== undefined && Object.hasOwn(record, key) ? record[key] : undefined;
}

function describePairs(pairs: Pairs): string {
  return pairs.length === 0 ? "open" : `closed ${pairs.map((pair) => pair.join("-")).join(" and ")}`;
}

function netsOf(component: NetlistComponent, pins: ReadonlyMap<string, string>): Map<string, string> {
  const nets = new Map<string, string>();
  for (const [own, ofType] of pins) {
    const net = component.netOfPin.get(own);
    if (net !== undefined) nets.set(ofType, net);
  }
  return nets;
}

// The pins a jumper lists are those it joins. One part joins one pair; an open jumper lists none.
function jumperParts(component: NetlistComponent, pairs: Pairs, type: PartType | undefined): PlacedPart[] {
  const { ref } = component;
  if (pairs.length === 0) return [{ ref, component, type, nets: new Map() }];
  return pairs.map((pair, i) => {
    const nets = new Map<string, string>();
    for (const pin of pair) {
      const net = component.netOfPin.get(pin);
      if (net !== undefined) nets.set(pin, net);
    }
    return { ref: i === 0 ? ref : `${ref}/${i + 1}`, component, type, nets };
  });
}
