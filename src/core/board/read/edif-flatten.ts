import type { DraftBuilder } from "./draft-builder.js";
import { cellKey, type EdifCell, type EdifInstance } from "./edif-cells.js";
import { type ProblemList, quoted } from "./problem-list.js";

// A board has some hundreds of parts on a few sheets. Sheets that hold one another many times over could grow without
// end from a short text; these bounds stop that.
const maximumDepth = 16;
const maximumInstances = 20_000;
const maximumJoins = 400_000;

interface Pin {
  readonly instance: EdifInstance;
  readonly cell: EdifCell | undefined;
  readonly ref: string;
  readonly port: string;
  readonly net: number;
  readonly line: number;
  readonly column: number;
}

/**
 * Puts all parts of `top`, and of the cells it holds, into `builder`, and joins nets through the ports of inner cells.
 * An inner net has the name of the outermost it is joined to, else `sheet/net`.
 */
export function flattenCell(
  top: EdifCell,
  cells: ReadonlyMap<string, EdifCell>,
  builder: DraftBuilder,
  problems: ProblemList,
): void {
  new Flattening(cells, builder, problems).run(top);
}

class Flattening {
  private readonly cells: ReadonlyMap<string, EdifCell>;
  private readonly builder: DraftBuilder;
  private readonly problems: ProblemList;
  // Nets by number; each leads to a lower number that it is joined to, or to itself.
  private readonly joinedTo: number[] = [];
  private readonly names: string[] = [];
  private readonly pins: Pin[] = [];
  private readonly libraryOfCell = new Map<string, string>();
  private instances = 0;
  private joins = 0;
  private isFull = false;

  constructor(cells: ReadonlyMap<string, EdifCell>, builder: DraftBuilder, problems: ProblemList) {
    this.cells = cells;
    this.builder = builder;
    this.problems = problems;
    for (const key of cells.keys()) {
      const [library = "", cell = ""] = key.split("\u0000");
      if (!this.libraryOfCell.has(cell)) this.libraryOfCell.set(cell, library);
    }
  }

  run(top: EdifCell): void {
    this.expand(top, "", new Map(), [top]);
    for (const { instance, cell, ref, port, net, line, column } of this.pins) {
      const own = cell?.ports.get(port);
      const pin = instance.numbers.get(port) ?? own?.number ?? own?.name ?? port;
      const name = this.names[this.rootOf(net)] ?? "";
      const direction = own?.direction ?? "";
      this.builder.pin(
        name,
        {
          ref,
          pin,
          ...(own === undefined || own.name === pin ? {} : { pinFunction: own.name }),
          ...(direction === "" ? {} : { pinType: direction === "inout" ? "bidirectional" : direction }),
          line,
        },
        { line, column, field: `${ref}.${pin}` },
      );
    }
  }

  /** `portNets`: outer net by port of this cell. Calls itself at most `maximumDepth` deep. */
  private expand(
    cell: EdifCell,
    prefix: string,
    portNets: ReadonlyMap<string, number>,
    path: readonly EdifCell[],
  ): void {
    const instances = new Map(cell.instances.map((instance) => [instance.id, instance]));
    const inner = new Map<string, Map<string, number>>();
    for (const net of cell.nets) {
      this.joins += 1;
      const number = this.newNet(`${prefix}${net.name}`);
      for (const { port, instance, line, column } of net.joined) {
        this.joins += 1;
        if (this.joins > maximumJoins) {
          this.stop(line, column, `${maximumJoins} pins`);
          return;
        }
        if (instance === undefined) {
          const outer = portNets.get(port);
          if (outer !== undefined) this.join(outer, number);
          continue;
        }
        const found = instances.get(instance);
        if (found === undefined) {
          this.problems.error(
            "unknown-ref",
            `Net ${quoted(net.name)} joins a pin of ${quoted(instance)}, which is not there; it was left out.`,
            { line, column, field: net.name },
          );
          continue;
        }
        const child = this.cellOf(found);
        if (child !== undefined && child.instances.length > 0) {
          const ports = inner.get(instance) ?? new Map<string, number>();
          inner.set(instance, ports);
          const before = ports.get(port);
          if (before === undefined) ports.set(port, number);
          else this.join(before, number);
        } else {
          const ref = `${prefix}${found.ref}`;
          this.pins.push({ instance: found, cell: child, ref, port, net: number, line, column });
        }
      }
    }
    for (const instance of cell.instances) {
      if (this.isFull) return;
      this.instances += 1;
      if (this.instances > maximumInstances) {
        this.stop(instance.line, instance.column, `${maximumInstances} parts`);
        return;
      }
      this.place(instance, prefix, inner.get(instance.id) ?? new Map(), path);
    }
  }

  private place(
    instance: EdifInstance,
    prefix: string,
    portNets: ReadonlyMap<string, number>,
    path: readonly EdifCell[],
  ): void {
    const { line, column } = instance;
    const ref = `${prefix}${instance.ref}`;
    const where = { line, column, field: ref.slice(0, 120) };
    const cell = this.cellOf(instance);
    if (cell === undefined) {
      this.problems.warning(
        "unknown-cell",
        `${quoted(ref)} names the cell ${quoted(instance.cell)}, which is not in the file.`,
        where,
      );
    } else if (cell.instances.length > 0) {
      if (path.includes(cell)) {
        this.problems.error(
          "cyclic-cells",
          `The cell ${quoted(cell.name)} holds itself; the inner one was left out.`,
          where,
        );
      } else if (path.length >= maximumDepth) {
        this.problems.error(
          "nested-too-deep",
          `Cells are nested more than ${maximumDepth} deep; the inner ones were left out.`,
          where,
        );
      } else this.expand(cell, `${ref}/`, portNets, [...path, cell]);
      return;
    }
    const properties = new Map([...(cell?.properties ?? []), ...instance.properties]);
    const first = (...names: string[]): string | undefined =>
      names.flatMap((name) => properties.get(name) ?? [])[0];
    const footprint = first("footprint", "pcb_footprint", "pcb footprint", "package");
    const libraryPart = cell?.name ?? instance.cell;
    this.builder.component(
      {
        ref,
        value: first("value", "part", "part_name", "device") ?? libraryPart,
        ...(cell === undefined ? {} : { libraryName: cell.library }),
        libraryPart,
        ...(footprint === undefined ? {} : { footprint }),
        fields: properties,
        notFitted: false,
        line,
      },
      where,
    );
  }

  private cellOf(instance: EdifInstance): EdifCell | undefined {
    const library = instance.library ?? this.libraryOfCell.get(instance.cell) ?? "";
    return this.cells.get(cellKey(library, instance.cell));
  }

  private newNet(name: string): number {
    this.names.push(name);
    return this.joinedTo.push(this.joinedTo.length) - 1;
  }

  private rootOf(net: number): number {
    let root = net;
    for (let next = this.joinedTo[root] ?? root; next !== root; next = this.joinedTo[root] ?? root)
      root = next;
    for (let at = net; at !== root; ) {
      const next = this.joinedTo[at] ?? root;
      this.joinedTo[at] = root;
      at = next;
    }
    return root;
  }

  /** Outer nets have the lower numbers and keep their names. */
  private join(a: number, b: number): void {
    const [low, high] = [this.rootOf(a), this.rootOf(b)].sort((x, y) => x - y);
    if (low !== undefined && high !== undefined) this.joinedTo[high] = low;
  }

  private stop(line: number, column: number, what: string): void {
    if (!this.isFull)
      this.problems.error(
        "input-too-large",
        `The sheets hold more than ${what} in all; the rest was not read.`,
        {
          line,
          column,
          field: "contents",
        },
      );
    this.isFull = true;
  }
}
