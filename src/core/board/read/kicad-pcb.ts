import type { Parsed, ProblemPlace } from "../../base/problem.js";
import { createDraftBuilder, type DraftBuilder } from "./draft-builder.js";
import type { NetlistOptions } from "./kicad-netlist.js";
import { findOutline } from "./kicad-outline.js";
import { readMillimetres, roundMillimetres } from "./millimetres.js";
import type { DraftComponent, DraftPad, DraftPlace, NetlistDraft } from "./netlist-draft.js";
import { createProblemList, type ProblemList, quoted } from "./problem-list.js";
import {
  readSExpressions,
  type SExpression,
  type SExpressionAtom,
  type SExpressionList,
} from "./s-expression.js";
import { listName, listsNamed, textNamed } from "./s-expression-query.js";

// The layout is eight levels deep at most, zones included.
const maximumDepth = 32;
// Copper and drawings other than the board's edge, most of a layout's text.
const omitted: ReadonlySet<string> = new Set([
  ...["segment", "via", "zone", "filled_polygon", "fill_segments", "effects", "stroke", "model", "setup"],
  ...["embedded_fonts", "embedded_files", "dimension", "target", "image", "group", "generated", "units"],
]);
// Format numbers are dates; versions 4 to 9 and what has come since write these.
const oldestDatedVersion = 20_160_815;
const newestKnownVersion = 20_251_231;

interface Layout {
  readonly builder: DraftBuilder;
  readonly places: Map<string, DraftPlace>;
  readonly netNames: ReadonlyMap<string, string>;
  readonly problems: ProblemList;
}

/**
 * Reads a KiCad layout (`.kicad_pcb` of version 4, and the dated formats of versions 5 to 9 and later): components,
 * nets by pin, and where everything lies. Values are what is printed on the board; schematic symbols are not known.
 *
 * The value is absent only if the text holds no `kicad_pcb` list. Footprints without numbered pads are drawings and are
 * passed over, and so are unnumbered ones without nets. Of two components with one reference the first stays.
 *
 * Codes: `not-a-layout`, `unknown-version`, `missing-field`, `bad-number`, `no-outline`, those of the builder and of the
 * s-expression reader.
 */
export function parseKicadPcb(text: string, options: NetlistOptions = {}): Parsed<NetlistDraft> {
  const problems = createProblemList(options.file);
  const read = readSExpressions(text, { ...options, maximumDepth, omit: omitted });
  problems.addAll(read.problems);
  const root = (read.value ?? []).find(
    (node): node is SExpressionList => node.kind === "list" && listName(node) === "kicad_pcb",
  );
  if (root === undefined) {
    problems.error(
      "not-a-layout",
      "The text is not a KiCad layout: there is no `kicad_pcb` in it.",
      { line: 1, column: 1, field: "kicad_pcb" },
      "Give the .kicad_pcb file of the project.",
    );
    return { problems: problems.all() };
  }
  checkVersion(root, problems);
  const layout: Layout = {
    builder: createDraftBuilder(problems),
    places: new Map(),
    netNames: readNetNames(root),
    problems,
  };
  for (const item of root.items) {
    if (item.kind !== "list") continue;
    const name = listName(item);
    if (name === "footprint" || name === "module") readFootprint(item, layout);
  }
  const outline = findOutline(root, problems);
  if (outline === undefined)
    problems.warning(
      "no-outline",
      "Nothing is drawn on the layer Edge.Cuts; the edge of the board is taken from its pads.",
      place(root, "Edge.Cuts"),
    );
  const title = readTitle(root);
  const tool = toolOf(root);
  return {
    value: {
      ...(title === undefined ? {} : { title }),
      ...(tool === undefined ? {} : { tool }),
      components: layout.builder.components(),
      nets: layout.builder.nets(),
      libraryParts: [],
      layout: { ...(outline === undefined ? {} : { outline }), places: layout.places },
    },
    problems: problems.all(),
  };
}

function checkVersion(root: SExpressionList, problems: ProblemList): void {
  const version = textNamed(root, "version");
  const number = Number(version);
  if (version === "3" || version === "4" || (number >= oldestDatedVersion && number <= newestKnownVersion))
    return;
  const found = version === undefined ? "no format version" : `format version ${quoted(version)}`;
  problems.warning(
    "unknown-version",
    `The layout states ${found}; 4 and ${oldestDatedVersion} to ${newestKnownVersion} are known. It was read like the newest.`,
    place(root, "version"),
  );
}

function toolOf(root: SExpressionList): string | undefined {
  const maker = textNamed(root, "generator") ?? textNamed(root, "host");
  const version = textNamed(root, "generator_version");
  return version === undefined || maker === undefined ? maker : `${maker} ${version}`;
}

function readTitle(root: SExpressionList): string | undefined {
  const block = listsNamed(root, "title_block")[0];
  const title = block === undefined ? undefined : textNamed(block, "title")?.trim();
  return title === "" ? undefined : title;
}

/** `(net 3 "GND")`; newer formats have no numbers and no such table. */
function readNetNames(root: SExpressionList): Map<string, string> {
  const names = new Map<string, string>();
  for (const net of listsNamed(root, "net")) {
    const [, number, name] = net.items;
    if (number?.kind === "atom" && name?.kind === "atom") names.set(number.text, name.text);
  }
  return names;
}

function readFootprint(item: SExpressionList, layout: Layout): void {
  const { builder, places, problems } = layout;
  const padLists = listsNamed(item, "pad").filter((pad) => padNumber(pad) !== "");
  if (padLists.length === 0) return;
  const fields = readFields(item);
  const ref = fields.get("Reference") ?? "";
  const isWired = padLists.some((pad) => (netOf(pad, layout.netNames) ?? "") !== "");
  // Mounting holes and the like are often not numbered, or all called alike.
  if (!isWired && (isUnnumbered(ref) || builder.has(ref))) return;
  if (isUnnumbered(ref)) {
    problems.warning(
      "missing-field",
      `A footprint with pads has ${ref === "" ? "no reference" : `the reference ${quoted(ref)}`}; it was left out.`,
      place(item, "Reference"),
    );
    return;
  }
  const footprint = atomAt(item, 1)?.text ?? "";
  const description = textNamed(item, "descr");
  const component: DraftComponent = {
    ref,
    value: fields.get("Value") ?? "",
    ...(description === undefined || description === "" ? {} : { description }),
    ...(footprint === "" ? {} : { footprint }),
    fields: new Map([...fields].filter(([name]) => !ownFields.has(name))),
    notFitted: attributes(item).includes("dnp"),
    line: item.line,
  };
  if (!builder.component(component, place(item, ref))) return;
  const at = readAt(item, ref, problems);
  if (at === undefined) return;
  const pads = new Map<string, DraftPad>();
  for (const pad of padLists) readPad(pad, ref, at, pads, layout);
  const isBack = textNamed(item, "layer")?.startsWith("B.") === true;
  places.set(ref, { side: isBack ? "back" : "front", pads: [...pads.values()] });
}

/** True for no reference, and for the ones a new footprint has before it is numbered: `REF**`, `U?`. */
function isUnnumbered(ref: string): boolean {
  return ref === "" || /[*?]$/.test(ref);
}

const ownFields: ReadonlySet<string> = new Set(["Reference", "Value", "Footprint"]);

/** Versions 4 to 7 write (fp_text reference "U1" ...), later ones (property "Reference" "U1" ...). */
function readFields(item: SExpressionList): Map<string, string> {
  const fields = new Map<string, string>();
  for (const inner of item.items) {
    if (inner.kind !== "list") continue;
    const name = listName(inner);
    const key = atomAt(inner, 1)?.text;
    const value = atomAt(inner, 2)?.text;
    if (key === undefined || value === undefined) continue;
    if (name === "fp_text" && key === "reference") fields.set("Reference", value.trim());
    else if (name === "fp_text" && key === "value") fields.set("Value", value.trim());
    else if (name === "property") fields.set(key, value.trim());
  }
  return fields;
}

function attributes(item: SExpressionList): string[] {
  return listsNamed(item, "attr").flatMap((attr) =>
    attr.items.slice(1).flatMap((word) => (word.kind === "atom" ? [word.text] : [])),
  );
}

interface At {
  readonly x: number;
  readonly y: number;
  /** Anticlockwise as seen on the component side, though y points down. */
  readonly degree: number;
}

function readAt(list: SExpressionList, field: string, problems: ProblemList): At | undefined {
  const at = listsNamed(list, "at")[0];
  if (at === undefined) {
    problems.error(
      "missing-field",
      "A place is missing; what stands there was left out.",
      place(list, `${field}.at`),
    );
    return undefined;
  }
  const [x, y, degree] = [1, 2, 3].map((index) => atomAt(at, index));
  const xMillimetre = readMillimetres(x?.text);
  const yMillimetre = readMillimetres(y?.text);
  if (xMillimetre === undefined || yMillimetre === undefined) {
    problems.error(
      "bad-number",
      `${quoted(`${x?.text ?? ""} ${y?.text ?? ""}`)} is no place in millimetres.`,
      place(at, `${field}.at`),
    );
    return undefined;
  }
  const turn = Number(degree?.text ?? "0");
  return { x: xMillimetre, y: yMillimetre, degree: Number.isFinite(turn) ? turn : 0 };
}

function readPad(
  pad: SExpressionList,
  ref: string,
  origin: At,
  pads: Map<string, DraftPad>,
  { builder, netNames, problems }: Layout,
): void {
  const pin = padNumber(pad);
  const field = `${ref}.${pin}`;
  const at = readAt(pad, field, problems);
  if (at !== undefined && !pads.has(pin)) {
    const radian = (origin.degree * Math.PI) / 180;
    const [cosine, sine] = [Math.cos(radian), Math.sin(radian)];
    pads.set(pin, {
      pin,
      xMillimetre: roundMillimetres(origin.x + at.x * cosine + at.y * sine),
      yMillimetre: roundMillimetres(origin.y - at.x * sine + at.y * cosine),
    });
  }
  const net = netOf(pad, netNames);
  if (net === undefined || net === "") return;
  const pinFunction = textNamed(pad, "pinfunction");
  const pinType = textNamed(pad, "pintype");
  builder.pin(
    net,
    {
      ref,
      pin,
      ...(pinFunction === undefined ? {} : { pinFunction }),
      ...(pinType === undefined ? {} : { pinType }),
      line: pad.line,
    },
    place(pad, field),
  );
}

/** `(net 3 "GND")`, or `(net "GND")` in formats that number no nets. */
function netOf(pad: SExpressionList, netNames: ReadonlyMap<string, string>): string | undefined {
  const net = listsNamed(pad, "net")[0];
  const [number, name] = net === undefined ? [] : [atomAt(net, 1), atomAt(net, 2)];
  if (name !== undefined) return name.text;
  if (number === undefined) return undefined;
  return number.quoted ? number.text : (netNames.get(number.text) ?? number.text);
}

function padNumber(pad: SExpressionList): string {
  return atomAt(pad, 1)?.text ?? "";
}

function atomAt(list: SExpressionList, index: number): SExpressionAtom | undefined {
  const item = list.items[index];
  return item?.kind === "atom" ? item : undefined;
}

function place(node: SExpression, field: string): ProblemPlace {
  return { line: node.line, column: node.column, field };
}
