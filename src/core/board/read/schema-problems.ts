import { z } from "zod";
import { nearestName } from "../../base/nearest.js";
import type { Parsed } from "../../base/problem.js";
import { type JsonDocument, type JsonOptions, type JsonPath, readJson, renderPath } from "./json-places.js";
import { createProblemList, type ProblemList, quoted } from "./problem-list.js";

/** A value that fits its schema, with the document it came from, for later checks that need places. */
export interface CheckedJson<T> {
  readonly value: T;
  readonly document: JsonDocument;
}

/**
 * Reads JSON and checks it against a schema. Each thing that does not fit is a problem with file, line, column, field
 * path, what was expected, and the nearest valid name. The value is absent if there was any.
 * `prepare` may change the document before it is checked, as long as fields keep their places.
 * Codes: those of `readJson`, and `field-missing`, `field-unknown`, `field-invalid`.
 */
export function readCheckedJson<T>(
  text: string,
  schema: z.ZodType<T>,
  options: JsonOptions = {},
  prepare: (document: unknown) => unknown = (document) => document,
): Parsed<CheckedJson<T>> {
  const problems = createProblemList(options.file);
  const read = readJson(text, options);
  problems.addAll(read.problems);
  if (read.value === undefined) return { problems: problems.all() };
  const document = read.value;
  const checked = schema.safeParse(prepare(document.value));
  if (checked.success) return { value: { value: checked.data, document }, problems: problems.all() };
  for (const issue of checked.error.issues) addIssue(issue, document, schema, problems);
  return { problems: problems.all() };
}

/** Tells the user what a value that was not found could have been: `Did you mean 'x'?`, or undefined. */
export function nearestHint(name: string, candidates: Iterable<string>): string | undefined {
  // Long names and endless lists are not slips of the finger, and the edit distance costs their product.
  if (name.length > 40) return undefined;
  const nearest = nearestName(name, takeFirst(candidates, 2000));
  return nearest === undefined ? undefined : `Did you mean ${quoted(nearest)}?`;
}

function* takeFirst(names: Iterable<string>, count: number): Iterable<string> {
  let left = count;
  for (const name of names) {
    if (left === 0) return;
    left -= 1;
    yield name;
  }
}

/** Value at a path of a plain JSON value; undefined where the path leads nowhere. */
export function valueAt(root: unknown, path: JsonPath): unknown {
  let at = root;
  for (const step of path) {
    if (typeof at !== "object" || at === null || !Object.hasOwn(at, step)) return undefined;
    at = Reflect.get(at, step);
  }
  return at;
}

function addIssue(
  issue: z.core.$ZodIssue,
  document: JsonDocument,
  schema: z.ZodType,
  problems: ProblemList,
): void {
  const path = issue.path.map((step) => (typeof step === "number" ? step : String(step)));
  const found = valueAt(document.value, path);
  if (issue.code === "unrecognized_keys") {
    const known = fieldNames(schema, path, document.value);
    for (const key of issue.keys) {
      const field = [...path, key];
      const expected = known.length === 0 ? "" : ` Fields here: ${known.join(", ")}.`;
      problems.error(
        "field-unknown",
        `There is no field called ${quoted(key)} here.${expected}`,
        { ...document.placeOfName(field), field: renderPath(field) },
        () => nearestHint(key, known),
      );
    }
    return;
  }
  const place = { ...document.placeOf(path), field: renderPath(path) };
  const wanted = expected(issue);
  if (found === undefined && path.length > 0) {
    problems.error(
      "field-missing",
      `The field ${quoted(renderPath(path))} is missing; expected ${wanted.text}.`,
      place,
    );
    return;
  }
  const hint = typeof found === "string" ? () => nearestHint(found, wanted.names) : undefined;
  problems.error("field-invalid", `Expected ${wanted.text}, got ${describe(found)}.`, place, hint);
}

function expected(issue: z.core.$ZodIssue): { text: string; names: readonly string[] } {
  switch (issue.code) {
    case "invalid_value": {
      const names = issue.values.map((value) => String(value));
      const [only] = issue.values;
      const single = typeof only === "string" ? quoted(only) : String(only);
      return { text: names.length === 1 ? single : `one of ${names.join(", ")}`, names };
    }
    case "invalid_type":
      return { text: withArticle(typeNames[issue.expected] ?? issue.expected), names: [] };
    case "invalid_union": {
      if ("options" in issue && issue.options !== undefined) {
        const names = issue.options.map(String);
        return { text: `one of ${names.join(", ")}`, names };
      }
      const options = issue.errors.flat().map((inner) => expected(inner));
      const texts = [...new Set(options.map((option) => option.text))];
      return {
        text: texts.length === 0 ? "another value" : texts.join(" or "),
        names: options.flatMap((option) => option.names),
      };
    }
    case "invalid_format":
      return {
        text:
          issue.pattern === undefined
            ? `text of the form ${issue.format}`
            : `text that matches ${issue.pattern}`,
        names: [],
      };
    case "too_small":
      return {
        text: `${bound(issue.origin)} ${issue.inclusive === false ? "above" : "of at least"} ${issue.minimum}`,
        names: [],
      };
    case "too_big":
      return {
        text: `${bound(issue.origin)} ${issue.inclusive === false ? "below" : "of at most"} ${issue.maximum}`,
        names: [],
      };
    case "custom":
      return { text: issue.message, names: [] };
    default:
      return { text: "another value", names: [] };
  }
}

const typeNames: Readonly<Record<string, string>> = {
  record: "object",
  string: "text",
  int: "whole number",
  boolean: "true or false",
};

function withArticle(name: string): string {
  if (name === "text" || name === "true or false") return name;
  return /^[aeiou]/.test(name) ? `an ${name}` : `a ${name}`;
}

function bound(origin: string): string {
  if (origin === "string") return "a text with a length";
  if (origin === "array" || origin === "set") return "a list with a length";
  return "a number";
}

function describe(value: unknown): string {
  if (value === null) return "null";
  if (typeof value === "string") return quoted(value);
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === "object") return "an object";
  return value === undefined ? "nothing" : String(value);
}

/**
 * Names of the fields the schema knows at a path of the value; empty if it takes any names there, or if nothing tells
 * which of several shapes is meant.
 */
function fieldNames(schema: z.ZodType, path: JsonPath, value: unknown): string[] {
  let at: unknown = unwrap(schema);
  let found = value;
  for (const step of path) {
    at = chosenShape(at, found);
    found = valueAt(found, [step]);
    if (at instanceof z.ZodObject)
      at = Object.hasOwn(at.shape, step) ? Reflect.get(at.shape, step) : undefined;
    else if (at instanceof z.ZodArray) at = at.element;
    else if (at instanceof z.ZodRecord) at = at.valueType;
    else return [];
    at = unwrap(at);
  }
  const shape = chosenShape(at, found);
  return shape instanceof z.ZodObject ? Object.keys(shape.shape) : [];
}

/** Of shapes told apart by a field, the one the value claims to have; any other schema as it is. */
function chosenShape(schema: unknown, value: unknown): unknown {
  if (!(schema instanceof z.ZodDiscriminatedUnion)) return schema;
  const { discriminator } = schema.def;
  const claim = valueAt(value, [discriminator]);
  return schema.options.find(
    (option) =>
      option instanceof z.ZodObject &&
      option.shape[discriminator] instanceof z.ZodType &&
      option.shape[discriminator].safeParse(claim).success,
  );
}

function unwrap(schema: unknown): unknown {
  let at = schema;
  while (at instanceof z.ZodOptional) at = at.unwrap();
  return at;
}
