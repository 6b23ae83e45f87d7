import { type EdifName, edifList, edifLists, edifName, keywordOf, stringOf } from "./edif-names.js";
import { type ProblemList, quoted } from "./problem-list.js";
import type { SExpressionList } from "./s-expression.js";

/** A cell of an EDIF library: a part, or a sheet that holds others. */
export interface EdifCell {
  readonly library: string;
  readonly name: string;
  /** What a pin is called and numbered, by the identifier of its port. */
  readonly ports: ReadonlyMap<string, EdifPort>;
  /** Empty for a part. */
  readonly instances: readonly EdifInstance[];
  readonly nets: readonly EdifNet[];
  readonly properties: ReadonlyMap<string, string>;
}

export interface EdifPort {
  readonly name: string;
  /** Pin number, if the file gives one. */
  readonly number?: string;
  /** `input`, `output` or `inout` where the file says so, else empty. */
  readonly direction: string;
}

export interface EdifInstance {
  readonly id: string;
  /** Reference as printed, if the file gives one, else the instance's name. */
  readonly ref: string;
  readonly cell: string;
  readonly library?: string;
  /** Pin numbers given for this instance alone, by the identifier of the port. */
  readonly numbers: ReadonlyMap<string, string>;
  readonly properties: ReadonlyMap<string, string>;
  readonly line: number;
  readonly column: number;
}

export interface EdifNet {
  readonly name: string;
  readonly joined: readonly EdifJoin[];
  readonly line: number;
}

/** A port on a net: of an instance, or of the cell itself. */
export interface EdifJoin {
  readonly port: string;
  readonly instance?: string;
  readonly line: number;
  readonly column: number;
}

/** All cells of the file by `cellKey`; of two with one name the first stays. Code: `duplicate-cell`. */
export function readCells(root: SExpressionList, problems: ProblemList): Map<string, EdifCell> {
  const cells = new Map<string, EdifCell>();
  for (const item of root.items) {
    if (item.kind !== "list" || (keywordOf(item) !== "library" && keywordOf(item) !== "external")) continue;
    const library = edifName(item.items[1]);
    for (const list of edifLists(item, "cell")) {
      const name = edifName(list.items[1]);
      if (library === undefined || name === undefined) {
        problems.error(
          "missing-field",
          "A cell or its library has no name; it was left out.",
          at(list, "cell"),
        );
        continue;
      }
      const key = cellKey(library.id, name.id);
      if (cells.has(key))
        problems.error(
          "duplicate-cell",
          `The library has a second cell called ${quoted(name.display)}; the first was kept.`,
          at(list, "cell"),
        );
      else cells.set(key, readCell(list, library, name, problems));
    }
  }
  return cells;
}

/** Names of a library and a cell as one. */
export function cellKey(library: string, cell: string): string {
  return `${library}\u0000${cell}`;
}

function readCell(list: SExpressionList, library: EdifName, name: EdifName, problems: ProblemList): EdifCell {
  const views = edifLists(list, "view");
  const view = views.find((one) => edifList(one, "contents") !== undefined) ?? views[0];
  const face = view === undefined ? undefined : edifList(view, "interface");
  const contents = view === undefined ? undefined : edifList(view, "contents");
  return {
    library: library.display,
    name: name.display,
    ports: readPorts(face),
    instances: contents === undefined ? [] : readInstances(contents, problems),
    nets: contents === undefined ? [] : readNets(contents, problems),
    properties: new Map([...propertiesOf(list), ...(face === undefined ? [] : propertiesOf(face))]),
  };
}

function readPorts(face: SExpressionList | undefined): Map<string, EdifPort> {
  const ports = new Map<string, EdifPort>();
  for (const list of face === undefined ? [] : edifLists(face, "port")) {
    const name = edifName(list.items[1]);
    if (name === undefined) continue;
    const number = designatorOf(list) ?? pinNumberOf(propertiesOf(list));
    const direction = stringOf(edifList(list, "direction"))?.toLowerCase() ?? "";
    ports.set(name.id, { name: name.display, direction, ...(number === undefined ? {} : { number }) });
  }
  return ports;
}

function readInstances(contents: SExpressionList, problems: ProblemList): EdifInstance[] {
  const instances = new Map<string, EdifInstance>();
  for (const list of edifLists(contents, "instance")) {
    const name = edifName(list.items[1]);
    const view = edifList(list, "viewref");
    const cellRef = edifList(view ?? list, "cellref");
    const cell = cellRef === undefined ? undefined : edifName(cellRef.items[1]);
    if (name === undefined || cell === undefined || cellRef === undefined) {
      problems.error(
        "missing-field",
        "An instance has no name or names no cell; it was left out.",
        at(list, name?.display ?? "instance"),
      );
      continue;
    }
    if (instances.has(name.id)) {
      problems.error(
        "duplicate-ref",
        `A second instance is called ${quoted(name.display)}; the first was kept.`,
        at(list, name.display),
      );
      continue;
    }
    const libraryRef = edifList(cellRef, "libraryref");
    const library = libraryRef === undefined ? undefined : edifName(libraryRef.items[1]);
    const numbers = new Map<string, string>();
    for (const portInstance of edifLists(list, "portinstance")) {
      const port = edifName(portInstance.items[1]);
      const number = designatorOf(portInstance) ?? pinNumberOf(propertiesOf(portInstance));
      if (port !== undefined && number !== undefined) numbers.set(port.id, number);
    }
    instances.set(name.id, {
      id: name.id,
      ref: designatorOf(list) ?? name.display,
      cell: cell.id,
      ...(library === undefined ? {} : { library: library.id }),
      numbers,
      properties: propertiesOf(list),
      line: list.line,
      column: list.column,
    });
  }
  return [...instances.values()];
}

/** Nets, also those gathered in bundles. */
function readNets(contents: SExpressionList, problems: ProblemList): EdifNet[] {
  const lists = contents.items.flatMap((item) => {
    if (item.kind !== "list") return [];
    if (keywordOf(item) === "net") return [item];
    if (keywordOf(item) !== "netbundle") return [];
    return edifLists(item, "listofnets").flatMap((inner) => edifLists(inner, "net"));
  });
  return lists.flatMap((list): EdifNet[] => {
    const name = edifName(list.items[1]);
    if (name === undefined) {
      problems.error("missing-field", "A net has no name; it was left out.", at(list, "net"));
      return [];
    }
    const joined = edifLists(list, "joined").flatMap((inner) =>
      edifLists(inner, "portref").flatMap((ref): EdifJoin[] => {
        const port = edifName(ref.items[1]);
        const instanceRef = edifList(ref, "instanceref");
        const instance = instanceRef === undefined ? undefined : edifName(instanceRef.items[1]);
        if (port === undefined || (instanceRef !== undefined && instance === undefined)) {
          problems.error(
            "missing-field",
            `A pin of net ${quoted(name.display)} has no name; it was left out.`,
            at(ref, name.display),
          );
          return [];
        }
        return [
          {
            port: port.id,
            ...(instance === undefined ? {} : { instance: instance.id }),
            line: ref.line,
            column: ref.column,
          },
        ];
      }),
    );
    return [{ name: name.display, joined, line: list.line }];
  });
}

/** Properties by name in lower case. */
function propertiesOf(list: SExpressionList): Map<string, string> {
  const properties = new Map<string, string>();
  for (const property of edifLists(list, "property")) {
    const name = edifName(property.items[1]);
    const value = stringOf(property.items[2]);
    if (name !== undefined && value !== undefined) properties.set(name.display.toLowerCase(), value);
  }
  return properties;
}

function pinNumberOf(properties: ReadonlyMap<string, string>): string | undefined {
  return ["pin_number", "pinnumber", "pin", "number", "#"].flatMap((name) => properties.get(name) ?? [])[0];
}

function designatorOf(list: SExpressionList): string | undefined {
  const designator = edifList(list, "designator");
  return designator === undefined ? undefined : stringOf(designator.items[1]);
}

function at(
  { line, column }: SExpressionList,
  field: string,
): { line: number; column: number; field: string } {
  return { line, column, field };
}
