import type { Parsed } from "../../base/problem.js";
import { createDraftBuilder } from "./draft-builder.js";
import { cellKey, type EdifCell, readCells } from "./edif-cells.js";
import { flattenCell } from "./edif-flatten.js";
import { edifList, edifLists, edifName, keywordOf } from "./edif-names.js";
import type { NetlistOptions } from "./kicad-netlist.js";
import type { NetlistDraft } from "./netlist-draft.js";
import { createProblemList, type ProblemList, quoted } from "./problem-list.js";
import { readSExpressions, type SExpression, type SExpressionList } from "./s-expression.js";

const maximumDepth = 64;

/**
 * Reads an EDIF netlist, version 2 0 0 (EIA-548). Sheets within sheets are flattened: an inner part is called
 * `sheet/part`. A part's value is its property `value` or the name of its cell; a pin's number is its designator or the
 * property of that kind, else the name of the port. The value is absent if the text holds no `edif` list or no cell with
 * parts in it.
 *
 * Codes: `not-edif`, `unknown-version`, `no-design`, `missing-field`, `duplicate-cell`, `duplicate-ref`, `unknown-ref`,
 * `unknown-cell`, `cyclic-cells`, `pin-on-two-nets`, `input-too-large`, and those of the s-expression reader.
 */
export function parseEdif(text: string, options: NetlistOptions = {}): Parsed<NetlistDraft> {
  const problems = createProblemList(options.file);
  const read = readSExpressions(text, { ...options, maximumDepth, escapes: "none" });
  problems.addAll(read.problems);
  const root = (read.value ?? []).find(
    (node: SExpression): node is SExpressionList => node.kind === "list" && keywordOf(node) === "edif",
  );
  if (root === undefined) {
    problems.error("not-edif", "The text is not EDIF: there is no `edif` in it.", {
      line: 1,
      column: 1,
      field: "edif",
    });
    return { problems: problems.all() };
  }
  checkVersion(root, problems);
  const cells = readCells(root, problems);
  const top = findTop(root, cells, problems);
  if (top === undefined) return { problems: problems.all() };
  const builder = createDraftBuilder(problems);
  flattenCell(top, cells, builder, problems);
  const title = edifName(root.items[1])?.display;
  return {
    value: {
      ...(title === undefined ? {} : { title }),
      components: builder.components(),
      nets: builder.nets(),
      libraryParts: [],
    },
    problems: problems.all(),
  };
}

function checkVersion(root: SExpressionList, problems: ProblemList): void {
  const version = edifList(root, "edifversion");
  const numbers = (version?.items.slice(1) ?? [])
    .map((item) => (item.kind === "atom" ? item.text : "?"))
    .join(" ");
  if (numbers === "2 0 0") return;
  const { line, column } = version ?? root;
  problems.warning(
    "unknown-version",
    `The file states ${numbers === "" ? "no version" : `version ${quoted(numbers)}`}; 2 0 0 is known. It was read as that.`,
    { line, column, field: "edifVersion" },
  );
}

/** The cell the design names; without a design, the last one that holds parts. */
function findTop(
  root: SExpressionList,
  cells: ReadonlyMap<string, EdifCell>,
  problems: ProblemList,
): EdifCell | undefined {
  const design = edifLists(root, "design")[0];
  const cellRef = design === undefined ? undefined : edifList(design, "cellref");
  const library = cellRef === undefined ? undefined : edifList(cellRef, "libraryref");
  const names = [cellRef?.items[1], library?.items[1]].map(edifName);
  const [cell, from] = names;
  const named = cell === undefined || from === undefined ? undefined : cells.get(cellKey(from.id, cell.id));
  if (named !== undefined && named.instances.length > 0) return named;
  const { line, column } = design ?? root;
  const last = [...cells.values()].findLast((one) => one.instances.length > 0);
  if (last === undefined)
    problems.error("no-design", "No cell of the file holds any parts.", { line, column, field: "design" });
  else
    problems.warning(
      "no-design",
      `The file names no design with parts in it; the cell ${quoted(last.name)} was taken.`,
      { line, column, field: "design" },
    );
  return last;
}
