import { nearestName } from "../base/nearest.js";
import type { Parsed, Problem } from "../base/problem.js";
import { type PartType, partTypeFileSchema } from "./part-type.js";
import { partTypeFlaws } from "./part-type-flaws.js";
import { renderPath } from "./read/json-places.js";
import { createProblemList } from "./read/problem-list.js";
import { nearestHint, readCheckedJson } from "./read/schema-problems.js";

/** All part types known, by name. Names are exact: `74LS157`, `4164`, `resistor`. */
export interface PartLibrary {
  /** The type of that name, or undefined. */
  get(type: string): PartType | undefined;
  /** All type names, in code-unit order. */
  names(): readonly string[];
  /** The known name closest to a misspelt one, if it is close enough to be a slip of the finger. */
  nearest(name: string): string | undefined;
}

/** The text of one part-type file; `file` is named in its problems. */
export interface PartTypeText {
  readonly file: string;
  readonly text: string;
}

/**
 * Builds the library from the texts of part-type files (`partTypeFileSchema`). A file that does not fit the schema is
 * left out whole, a type that contradicts itself alone, and of two types with one name the first stays; each is
 * reported with file, line, column and field. The value is absent if no type remained.
 * Codes: those of `readCheckedJson` and `partTypeFlaws`, and `duplicate-type`.
 */
export function parsePartLibrary(texts: readonly PartTypeText[]): Parsed<PartLibrary> {
  const types = new Map<string, PartType>();
  const fileOf = new Map<string, string>();
  const problems: Problem[] = [];
  for (const { file, text } of texts) {
    const list = createProblemList(file);
    const read = readCheckedJson(text, partTypeFileSchema, { file });
    list.addAll(read.problems);
    for (const [i, type] of (read.value?.value.types ?? []).entries()) {
      const placeOf = (path: readonly (string | number)[]) => {
        const full = ["types", i, ...path];
        return { ...read.value?.document.placeOf(full), field: renderPath(full) };
      };
      const flaws = partTypeFlaws(type);
      for (const { code, message, path, unknown } of flaws) {
        const hint = unknown === undefined ? undefined : () => nearestHint(unknown.name, unknown.among);
        list.error(code, `Type ${type.type}: ${message}`, placeOf(path), hint);
      }
      const earlier = fileOf.get(type.type);
      if (earlier !== undefined) {
        list.error(
          "duplicate-type",
          `Type ${type.type} is defined a second time; it stands in ${earlier}.`,
          placeOf([]),
        );
      }
      if (flaws.length > 0 || earlier !== undefined) continue;
      types.set(type.type, type);
      fileOf.set(type.type, file);
    }
    problems.push(...list.all());
  }
  return types.size === 0 ? { problems } : { value: createPartLibrary([...types.values()]), problems };
}

/** A library of types that are known to be sound. Throws `RangeError` if two share a name. */
export function createPartLibrary(types: readonly PartType[]): PartLibrary {
  const byName = new Map<string, PartType>();
  for (const type of types) {
    if (byName.has(type.type)) throw new RangeError(`part type ${type.type} is given twice`);
    byName.set(type.type, type);
  }
  const names = [...byName.keys()].sort((a, b) => (a < b ? -1 : 1));
  return {
    get: (type) => byName.get(type),
    names: () => names,
    nearest: (name) => nearestName(name, names),
  };
}
