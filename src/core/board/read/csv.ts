import { type ProblemList, quoted } from "./problem-list.js";

/** One row; `line` is the one it begins in. */
export interface CsvRow {
  readonly line: number;
  readonly cells: readonly string[];
}

const separators: readonly string[] = [",", ";", "\t"];
const mostCells = 64;
const longestCell = 2000;

/**
 * The rows of a table in text (RFC 4180, with the separator that the first row has most of). A cell that begins with a
 * quote ends at the next single one, and may hold line ends. Empty rows and rows that begin with `#` are passed over.
 * Time and memory in proportion to the text.
 * Codes: `unclosed-quote`, `cell-too-long`, `too-many-cells`, `input-too-large`.
 */
export function* readCsv(
  text: string,
  problems: ProblemList,
  maximumCharacters = 64_000_000,
): Generator<CsvRow> {
  const separator = separatorOf(text);
  let line = 1;
  let at = 0;
  while (at < text.length) {
    if (at > maximumCharacters) {
      problems.error(
        "input-too-large",
        `The text is longer than ${maximumCharacters} characters; the rest was not read.`,
        {
          line,
        },
      );
      return;
    }
    const start = line;
    const cells: string[] = [];
    let isOpen = true;
    while (isOpen) {
      const cell = readCell(text, at, separator);
      if (cell.isUnclosed)
        problems.error("unclosed-quote", "A quoted cell is not closed before the end of the text.", {
          line: start,
          field: `cell ${cells.length + 1}`,
        });
      if (cell.text.length > longestCell)
        problems.error(
          "cell-too-long",
          `The cell ${quoted(cell.text)} has more than ${longestCell} characters.`,
          {
            line: start,
            field: `cell ${cells.length + 1}`,
          },
        );
      if (cells.length < mostCells) cells.push(cell.text.slice(0, longestCell));
      else if (cells.length === mostCells) {
        problems.error("too-many-cells", `A row has more than ${mostCells} cells; the rest was not read.`, {
          line: start,
          field: `cell ${mostCells + 1}`,
        });
        cells.push("");
      }
      line += cell.lineEnds;
      at = cell.end;
      isOpen = text.charAt(at) === separator;
      if (isOpen) at += 1;
    }
    if (text.charAt(at) === "\r" && text.charAt(at + 1) === "\n") at += 1;
    at += 1;
    line += 1;
    const isBlank = cells.every((cell) => cell.trim() === "");
    if (!isBlank && cells[0]?.trimStart().startsWith("#") !== true) yield { line: start, cells };
  }
}

interface Cell {
  readonly text: string;
  /** Where the separator, the line end or the end of the text is. */
  readonly end: number;
  readonly lineEnds: number;
  readonly isUnclosed: boolean;
}

function readCell(text: string, start: number, separator: string): Cell {
  if (text.charAt(start) !== '"') {
    const end = endOfCell(text, start, separator);
    return { text: text.slice(start, end), end, lineEnds: 0, isUnclosed: false };
  }
  const pieces: string[] = [];
  let from = start + 1;
  for (;;) {
    const quote = text.indexOf('"', from);
    const end = quote < 0 ? text.length : quote;
    pieces.push(text.slice(from, end));
    if (quote >= 0 && text.charAt(quote + 1) === '"') {
      pieces.push('"');
      from = quote + 2;
      continue;
    }
    const inside = pieces.join("");
    const after = quote < 0 ? end : endOfCell(text, quote + 1, separator);
    const lineEnds = inside.split(/\r\n|\r|\n/).length - 1;
    // What stands behind the closing quote belongs to the cell all the same.
    return { text: inside + text.slice(end + 1, after), end: after, lineEnds, isUnclosed: quote < 0 };
  }
}

function endOfCell(text: string, start: number, separator: string): number {
  for (let at = start; at < text.length; at += 1) {
    const character = text.charAt(at);
    if (character === separator || character === "\n" || character === "\r") return at;
  }
  return text.length;
}

/** The one the first row that is no remark has most of; a comma if it has none. */
function separatorOf(text: string): string {
  const first = /^[ \t]*(?![ \t#\r\n])[^\r\n]*/m.exec(text.slice(0, 20_000))?.[0] ?? "";
  const counts = separators.map((separator) => first.split(separator).length);
  return separators[counts.indexOf(Math.max(...counts))] ?? ",";
}
