import type { Parsed, ProblemPlace } from "../../base/problem.js";
import { readLibraryParts } from "./kicad-library-parts.js";
import type { DraftComponent, DraftNet, DraftNode, NetlistDraft } from "./netlist-draft.js";
import { createProblemList, type ProblemList, quoted } from "./problem-list.js";
import { readSExpressions, type SExpression, type SExpressionList } from "./s-expression.js";
import { listName, listsNamed, textNamed } from "./s-expression-query.js";

/** `file` is named in every problem; `maximumCharacters` bounds the text (default: that of the s-expression reader). */
export interface NetlistOptions {
  readonly file?: string;
  readonly maximumCharacters?: number;
}

// The layout is nine levels deep at most; text that nests deeper is no netlist.
const maximumDepth = 32;
const knownVersions: ReadonlySet<string> = new Set(["D", "E"]);

/**
 * Reads a KiCad netlist (the s-expression export of versions 4 to 9, format versions D and E).
 *
 * The value is absent only if the text holds no `export` list. Everything else that is wrong becomes a problem with
 * line and column, and what could be read is kept: of two components with one reference the first stays, a pin named
 * on two nets stays on the first, pins of components that are not listed are dropped.
 *
 * Codes: `not-a-netlist`, `unknown-version`, `missing-section`, `missing-field`, `duplicate-ref`, `duplicate-net`,
 * `duplicate-node`, `pin-on-two-nets`, `unknown-ref`, `empty-net`, and those of the s-expression reader.
 */
export function parseKicadNetlist(text: string, options: NetlistOptions = {}): Parsed<NetlistDraft> {
  const problems = createProblemList(options.file);
  const read = readSExpressions(text, {
    ...(options.file === undefined ? {} : { file: options.file }),
    ...(options.maximumCharacters === undefined ? {} : { maximumCharacters: options.maximumCharacters }),
    maximumDepth,
  });
  problems.addAll(read.problems);
  const value = netlistOfTree(read.value ?? [], problems);
  return { ...(value === undefined ? {} : { value }), problems: problems.all() };
}

/** The netlist among `top`, an `export` list; undefined, with an error, if there is none. Codes as `parseKicadNetlist`. */
export function netlistOfTree(top: readonly SExpression[], problems: ProblemList): NetlistDraft | undefined {
  const root = top.find(isExport);
  if (root === undefined) {
    problems.error(
      "not-a-netlist",
      "The text is not a KiCad netlist: there is no `export` in it.",
      { line: 1, column: 1, field: "export" },
      "In the schematic editor export the netlist in KiCad's own format.",
    );
    return undefined;
  }
  checkVersion(root, problems);
  const components = readComponents(section(root, "components", problems), problems);
  const refs = new Set(components.map((component) => component.ref));
  const nets = readNets(section(root, "nets", problems), refs, problems);
  const design = listsNamed(root, "design")[0];
  const tool = design === undefined ? undefined : textNamed(design, "tool");
  const title = design === undefined ? undefined : readTitle(design);
  return {
    ...(title === undefined ? {} : { title }),
    ...(tool === undefined ? {} : { tool }),
    components,
    nets,
    libraryParts: readLibraryParts(listsNamed(root, "libparts")[0]),
  };
}

function isExport(node: SExpression): node is SExpressionList {
  return node.kind === "list" && listName(node) === "export";
}

function place(node: SExpressionList, field?: string): ProblemPlace {
  const name = listName(node);
  const path = [...(name === undefined ? [] : [name]), ...(field === undefined ? [] : [field])].join(".");
  return { line: node.line, column: node.column, ...(path === "" ? {} : { field: path }) };
}

function checkVersion(root: SExpressionList, problems: ProblemList): void {
  const version = textNamed(root, "version");
  if (version !== undefined && knownVersions.has(version)) return;
  const found = version === undefined ? "no format version" : `format version ${quoted(version)}`;
  problems.warning(
    "unknown-version",
    `The netlist states ${found}; D and E are known. It was read as if it were E.`,
    place(root),
  );
}

function readTitle(design: SExpressionList): string | undefined {
  for (const sheet of listsNamed(design, "sheet")) {
    const block = listsNamed(sheet, "title_block")[0];
    const title = block === undefined ? undefined : textNamed(block, "title");
    if (title !== undefined && title.trim() !== "") return title.trim();
  }
  return undefined;
}

function section(root: SExpressionList, name: string, problems: ProblemList): SExpressionList | undefined {
  const found = listsNamed(root, name)[0];
  if (found === undefined) {
    problems.error(
      "missing-section",
      `The netlist has no \`${name}\` section.`,
      place(root, name),
      "The file looks cut short; export or copy it again.",
    );
  }
  return found;
}

/** Text of a field that must be there and not empty; reports and returns undefined if it is not. */
function required(
  list: SExpressionList,
  name: string,
  what: string,
  problems: ProblemList,
): string | undefined {
  const text = textNamed(list, name);
  if (text !== undefined && text !== "") return text;
  problems.error("missing-field", `${what} has no \`${name}\`; it was left out.`, place(list, name));
  return undefined;
}

function readComponents(list: SExpressionList | undefined, problems: ProblemList): DraftComponent[] {
  if (list === undefined) return [];
  const byRef = new Map<string, DraftComponent>();
  for (const item of listsNamed(list, "comp")) {
    const ref = required(item, "ref", "A component", problems);
    if (ref === undefined) continue;
    const first = byRef.get(ref);
    if (first !== undefined) {
      problems.error(
        "duplicate-ref",
        `A second component is called ${quoted(ref)}; the one in line ${first.line} was kept.`,
        place(item),
        "Number the parts of the schematic anew and export again.",
      );
      continue;
    }
    byRef.set(ref, readComponent(item, ref));
  }
  return [...byRef.values()];
}

function readComponent(item: SExpressionList, ref: string): DraftComponent {
  const source = listsNamed(item, "libsource")[0];
  const libraryName = source === undefined ? undefined : textNamed(source, "lib");
  const libraryPart = source === undefined ? undefined : textNamed(source, "part");
  const description =
    (source === undefined ? undefined : textNamed(source, "description")) || textNamed(item, "description");
  const footprint = textNamed(item, "footprint");
  const { fields, notFitted } = readFields(item);
  return {
    ref,
    value: textNamed(item, "value") ?? "",
    ...(libraryName === undefined ? {} : { libraryName }),
    ...(libraryPart === undefined ? {} : { libraryPart }),
    ...(description === undefined || description === "" ? {} : { description }),
    ...(footprint === undefined || footprint === "" ? {} : { footprint }),
    fields,
    notFitted,
    line: item.line,
  };
}

// Versions 4 and 5 write (fields (field (name N) "V")); later ones write (property (name N) (value V)) as well.
function readFields(item: SExpressionList): { fields: Map<string, string>; notFitted: boolean } {
  const fields = new Map<string, string>();
  let notFitted = false;
  for (const property of listsNamed(item, "property")) {
    const name = textNamed(property, "name");
    if (name === undefined) continue;
    if (name === "dnp") notFitted = true;
    else fields.set(name, textNamed(property, "value") ?? "");
  }
  const group = listsNamed(item, "fields")[0];
  for (const field of group === undefined ? [] : listsNamed(group, "field")) {
    const name = textNamed(field, "name");
    const value = field.items.slice(1).find((part) => part.kind === "atom");
    if (name !== undefined && value?.kind === "atom") fields.set(name, value.text);
  }
  return { fields, notFitted };
}

function readNets(
  list: SExpressionList | undefined,
  refs: ReadonlySet<string>,
  problems: ProblemList,
): DraftNet[] {
  if (list === undefined) return [];
  const byName = new Map<string, { nodes: DraftNode[]; line: number }>();
  const netOfPin = new Map<string, Map<string, string>>();
  for (const item of listsNamed(list, "net")) {
    const name = required(item, "name", "A net", problems);
    if (name === undefined) continue;
    let net = byName.get(name);
    if (net === undefined) {
      net = { nodes: [], line: item.line };
      byName.set(name, net);
    } else {
      problems.warning(
        "duplicate-net",
        `Net ${quoted(name)} already stands in line ${net.line}; the two were joined.`,
        place(item),
      );
    }
    const nodes = listsNamed(item, "node");
    if (nodes.length === 0) problems.warning("empty-net", `Net ${quoted(name)} has no pins.`, place(item));
    for (const node of nodes) readNode(node, name, net.nodes, refs, netOfPin, problems);
  }
  return [...byName].map(([name, net]) => ({ name, nodes: net.nodes, line: net.line }));
}

function readNode(
  node: SExpressionList,
  net: string,
  into: DraftNode[],
  refs: ReadonlySet<string>,
  netOfPin: Map<string, Map<string, string>>,
  problems: ProblemList,
): void {
  const ref = required(node, "ref", `A pin of net ${quoted(net)}`, problems);
  const pin = required(node, "pin", `A pin of net ${quoted(net)}`, problems);
  if (ref === undefined || pin === undefined) return;
  const spot = `${ref}.${pin}`;
  if (!refs.has(ref)) {
    problems.error(
      "unknown-ref",
      `Pin ${quoted(spot)} belongs to no listed component; it was left out.`,
      place(node),
    );
    return;
  }
  let pins = netOfPin.get(ref);
  if (pins === undefined) {
    pins = new Map();
    netOfPin.set(ref, pins);
  }
  const before = pins.get(pin);
  if (before === net) {
    // Symbols of several units that each show the supply pins make such doubles; they do no harm.
    problems.warning(
      "duplicate-node",
      `Pin ${quoted(spot)} stands twice on net ${quoted(net)}.`,
      place(node),
    );
    return;
  }
  if (before !== undefined) {
    problems.error(
      "pin-on-two-nets",
      `Pin ${quoted(spot)} is on net ${quoted(before)} and on net ${quoted(net)}; the first was kept.`,
      place(node),
      "Look at this pin in the schematic: two nets on one pin are one net.",
    );
    return;
  }
  pins.set(pin, net);
  const pinFunction = textNamed(node, "pinfunction");
  const pinType = textNamed(node, "pintype");
  into.push({
    ref,
    pin,
    ...(pinFunction === undefined ? {} : { pinFunction }),
    ...(pinType === undefined ? {} : { pinType }),
    line: node.line,
  });
}
