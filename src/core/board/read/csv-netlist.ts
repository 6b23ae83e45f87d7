import type { Parsed, ProblemPlace } from "../../base/problem.js";
import { type CsvRow, readCsv } from "./csv.js";
import { createDraftBuilder } from "./draft-builder.js";
import type { NetlistOptions } from "./kicad-netlist.js";
import type { NetlistDraft } from "./netlist-draft.js";
import { createProblemList, type ProblemList, quoted } from "./problem-list.js";

type Column = "ref" | "pin" | "net" | "type";
const columnNames: readonly Column[] = ["ref", "pin", "net", "type"];

/**
 * Reads a table of pins: one row for each pin with the columns `ref`, `pin`, `net` and, if wanted, `type`, named in the
 * first row in any order. Columns are parted by commas, semicolons or tabs, whichever the first row has; cells may be
 * quoted as in RFC 4180; empty rows and rows that begin with `#` are passed over. An empty net leaves the pin open.
 * The type of a part may stand in any one of its rows. The value is absent if there is no such first row.
 *
 * Codes: `no-header`, `missing-field`, `unknown-column`, `too-few-cells`, `type-conflict`, those of `readCsv` and of the
 * builder.
 */
export function parseCsvNetlist(text: string, options: NetlistOptions = {}): Parsed<NetlistDraft> {
  const problems = createProblemList(options.file);
  const builder = createDraftBuilder(problems);
  const types = new Map<string, { type: string; line: number }>();
  const firstLines = new Map<string, number>();
  let header: ReadonlyMap<Column, number> | undefined;
  for (const row of readCsv(text, problems, options.maximumCharacters)) {
    if (header === undefined) {
      header = readHeader(row, problems);
      if (header === undefined) return { problems: problems.all() };
      continue;
    }
    readRow(row, header);
  }
  if (header === undefined) {
    problems.error("no-header", noHeader, { line: 1, column: 1, field: "ref" });
    return { problems: problems.all() };
  }
  for (const [ref, line] of firstLines)
    builder.component(
      { ref, value: types.get(ref)?.type ?? "", fields: new Map(), notFitted: false, line },
      { line, field: "ref" },
    );
  return {
    value: { components: builder.components(), nets: builder.nets(), libraryParts: [] },
    problems: problems.all(),
  };

  function readRow(row: CsvRow, columns: ReadonlyMap<Column, number>): void {
    const cell = (column: Column): string => row.cells[columns.get(column) ?? -1]?.trim() ?? "";
    const where = (column: Column): ProblemPlace => ({ line: row.line, field: column });
    const [ref, pin, net, type] = [cell("ref"), cell("pin"), cell("net"), cell("type")];
    for (const [column, value] of [
      ["ref", ref],
      ["pin", pin],
    ] as const) {
      if (value !== "") continue;
      problems.error("missing-field", `The row has no ${column}; it was left out.`, where(column));
      return;
    }
    if (!firstLines.has(ref)) firstLines.set(ref, row.line);
    const known = types.get(ref);
    if (type !== "" && known === undefined) types.set(ref, { type, line: row.line });
    else if (type !== "" && known !== undefined && known.type !== type)
      problems.error(
        "type-conflict",
        `${quoted(ref)} is a ${quoted(type)} here and a ${quoted(known.type)} in line ${known.line}; the first was kept.`,
        where("type"),
      );
    if (net !== "") builder.pin(net, { ref, pin, line: row.line }, where("net"));
  }
}

const noHeader =
  "The first row must name the columns ref, pin and net, and type if there is one, parted by commas, semicolons or tabs.";

function readHeader(row: CsvRow, problems: ProblemList): ReadonlyMap<Column, number> | undefined {
  const columns = new Map<Column, number>();
  const unknown: string[] = [];
  for (const [index, cell] of row.cells.entries()) {
    const name = columnNames.find((known) => known === cell.trim().toLowerCase());
    if (name !== undefined && !columns.has(name)) columns.set(name, index);
    else if (cell.trim() !== "") unknown.push(cell.trim());
  }
  const missing = columnNames.find((name) => name !== "type" && !columns.has(name));
  if (missing !== undefined) {
    problems.error("no-header", noHeader, { line: row.line, field: missing });
    return undefined;
  }
  for (const name of unknown)
    problems.warning("unknown-column", `The column ${quoted(name)} is not used.`, {
      line: row.line,
      field: name.slice(0, 60),
    });
  return columns;
}
