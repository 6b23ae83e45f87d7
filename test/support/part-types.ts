import { renderProblem } from "../../src/core/base/problem.js";
import { type PartLibrary, parsePartLibrary } from "../../src/core/board/part-library.js";
import type { Behaviour, PartType } from "../../src/core/board/part-type.js";
import { readFiles } from "./source-files.js";

/** Texts of all files in data/part-types, by path from the repository's root. */
export function readPartTypeTexts(): ReadonlyMap<string, string> {
  return readFiles("data/part-types", (path) => path.endsWith(".json"));
}

/** The library as it is delivered. Throws if its files have any problem. */
export function readPartLibrary(): PartLibrary {
  const texts = [...readPartTypeTexts()].map(([file, text]) => ({ file, text }));
  const { value, problems } = parsePartLibrary(texts);
  if (value === undefined || problems.length > 0) throw new Error(problems.map(renderProblem).join("\n"));
  return value;
}

/** A type of the library. Throws if there is none of that name. */
export function typeNamed(library: PartLibrary, name: string): PartType {
  const type = library.get(name);
  if (type === undefined) throw new Error(`there is no part type ${name}`);
  return type;
}

/** The behaviour of a type, which must be of the given kind. */
export function behaviourOf<K extends Behaviour["kind"]>(
  library: PartLibrary,
  name: string,
  kind: K,
): Extract<Behaviour, { kind: K }> {
  const { behaviour } = typeNamed(library, name);
  if (!isOfKind(behaviour, kind)) throw new Error(`type ${name} is of kind ${behaviour.kind}, not ${kind}`);
  return behaviour;
}

function isOfKind<K extends Behaviour["kind"]>(
  behaviour: Behaviour,
  kind: K,
): behaviour is Extract<Behaviour, { kind: K }> {
  return behaviour.kind === kind;
}

/** Names of the pins of a type that are of the given kinds, in the order of the pin table. */
export function pinsOfKind(type: PartType, ...kinds: readonly string[]): string[] {
  if (type.pins === "as-board") return [];
  return type.pins.filter((pin) => kinds.includes(pin.kind)).map((pin) => pin.name);
}
