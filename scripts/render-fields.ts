import { z } from "zod";

/** The parts of a JSON Schema that the pages of formats speak of. */
interface Node {
  readonly type?: string | readonly string[];
  readonly description?: string;
  readonly properties?: Readonly<Record<string, Node>>;
  readonly required?: readonly string[];
  readonly additionalProperties?: Node | boolean;
  readonly propertyNames?: Node;
  readonly items?: Node | boolean;
  readonly prefixItems?: readonly Node[];
  readonly anyOf?: readonly Node[];
  readonly oneOf?: readonly Node[];
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly default?: unknown;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
  readonly minLength?: number;
  readonly maxLength?: number;
  readonly maxItems?: number;
  readonly minItems?: number;
  readonly pattern?: string;
}

/**
 * Tables of the fields of a schema, as Markdown: one for the object itself and one for each object within it, headed by
 * its path. Of shapes told apart by a field each has its own table. `direction`: whether the file is read or written.
 */
export function renderFields(
  schema: z.ZodType,
  options: {
    readonly direction: "input" | "output";
    readonly level: number;
    /** Forms, by path, that another page describes. */
    readonly elsewhere?: Readonly<Record<string, string>>;
  },
): string {
  const root: unknown = z.toJSONSchema(schema, { io: options.direction, reused: "inline" });
  const lines: string[] = [];
  const page = { level: options.level, elsewhere: options.elsewhere ?? {}, lines };
  renderObject(asNode(root), "", page);
  return `${lines.join("\n").trim()}\n`;
}

/** The page being written. */
interface Page {
  readonly level: number;
  readonly elsewhere: Readonly<Record<string, string>>;
  readonly lines: string[];
}

function asNode(value: unknown): Node {
  if (typeof value !== "object" || value === null) throw new TypeError("a schema is an object");
  return value;
}

function renderObject(node: Node, path: string, page: Page): void {
  const { lines, elsewhere } = page;
  const { properties = {}, required = [] } = node;
  const names = Object.keys(properties).filter((name) => name !== "$schema");
  lines.push("| field | form | meaning |", "| --- | --- | --- |");
  for (const name of names) {
    const field = properties[name] ?? {};
    const form = elsewhere[path === "" ? name : `${path}.${name}`] ?? formOf(field);
    const optional = required.includes(name) ? "" : " (optional)";
    lines.push(`| \`${name}\`${optional} | ${form} | ${cell(field.description ?? "")} |`);
  }
  lines.push("");
  for (const name of names) {
    const own = path === "" ? name : `${path}.${name}`;
    if (elsewhere[own] === undefined) renderInner(properties[name] ?? {}, own, page);
  }
}

/** Tables of the objects a field holds. */
function renderInner(node: Node, path: string, page: Page): void {
  const { lines } = page;
  const head = (title: string): void => {
    lines.push(`${"#".repeat(page.level)} ${title}`, "");
  };
  if (node.properties !== undefined) {
    head(`\`${path}\``);
    renderObject(node, path, page);
    return;
  }
  if (typeof node.items === "object") {
    renderInner(node.items, `${path}[]`, page);
    return;
  }
  if (typeof node.additionalProperties === "object") {
    renderInner(node.additionalProperties, `${path}.*`, page);
    return;
  }
  for (const option of node.anyOf ?? node.oneOf ?? []) {
    if (option.properties === undefined) continue;
    const [name, field] = Object.entries(option.properties)[0] ?? ["", {}];
    const kinds = valuesOf(field);
    head(kinds.length === 0 ? `\`${path}\`` : `\`${path}\` with ${name} ${kinds.map(code).join(", ")}`);
    if (option.description !== undefined) lines.push(option.description, "");
    renderObject(option, path, page);
  }
}

function valuesOf(node: Node): readonly unknown[] {
  if (node.const !== undefined) return [node.const];
  return node.enum ?? [];
}

function formOf(node: Node): string {
  const values = valuesOf(node);
  const fallback = node.default === undefined ? "" : `; if absent ${code(node.default)}`;
  if (values.length > 0) return `${values.map(code).join(", ")}${fallback}`;
  const options = node.anyOf ?? node.oneOf;
  if (options !== undefined) return `${[...new Set(options.map(formOf))].join(", or ")}${fallback}`;
  return `${plainForm(node)}${fallback}`;
}

function plainForm(node: Node): string {
  if (typeof node.type === "object")
    return node.type.map((type) => plainForm({ ...node, type })).join(", or ");
  const { type } = node;
  switch (type) {
    case "array":
      if (node.prefixItems !== undefined) return `list of ${node.prefixItems.length}`;
      return typeof node.items === "object" ? `list: ${formOf(node.items)}` : "list";
    case "object":
      if (node.properties !== undefined) return "object, see below";
      return typeof node.additionalProperties === "object"
        ? `object by name: ${formOf(node.additionalProperties)}`
        : "object";
    case "number":
    case "integer":
      return `${type === "integer" ? "whole number" : "number"}${rangeOf(node)}`;
    case "string":
      return node.pattern === undefined ? "text" : `text like ${code(node.pattern)}`;
    case "boolean":
      return "`true`, `false`";
    case "null":
      return "`null`";
    default:
      return "any";
  }
}

/** Bounds that say something; those of the number format itself do not. */
function rangeOf({ minimum, maximum, exclusiveMinimum }: Node): string {
  const isReal = (bound: number | undefined): bound is number =>
    bound !== undefined && Math.abs(bound) < Number.MAX_SAFE_INTEGER;
  if (isReal(exclusiveMinimum)) return ` above ${exclusiveMinimum}`;
  if (isReal(minimum) && isReal(maximum)) return ` from ${minimum} to ${maximum}`;
  if (isReal(minimum)) return ` from ${minimum}`;
  return isReal(maximum) ? ` up to ${maximum}` : "";
}

function code(value: unknown): string {
  const text = typeof value === "string" ? value : JSON.stringify(value);
  return `\`${cell(text)}\``;
}

/** A pipe would end the cell. */
function cell(text: string): string {
  return text.replaceAll("|", "\\|");
}
