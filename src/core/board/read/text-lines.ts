import type { ProblemList } from "./problem-list.js";

/** One line of a text without its end; the first line is 1. */
export interface TextLine {
  readonly line: number;
  readonly text: string;
}

/** A line that is longer is cut there: no record format has such lines. */
export const longestLine = 10_000;

/**
 * The lines of a text one after the other, whichever way they end. Reading stops at `maximumCharacters` (default 64
 * million) with the error `input-too-large`; a line of more than 10,000 characters is cut, with the error `line-too-long`.
 */
export function* textLines(
  text: string,
  problems: ProblemList,
  maximumCharacters = 64_000_000,
): Generator<TextLine> {
  let line = 1;
  let start = 0;
  while (start <= text.length) {
    if (start > maximumCharacters) {
      problems.error(
        "input-too-large",
        `The text is longer than ${maximumCharacters} characters; the rest was not read.`,
        { line, column: 1 },
      );
      return;
    }
    const found = nextLineEnd(text, start);
    const end = found < 0 ? text.length : found;
    if (end - start > longestLine)
      problems.error(
        "line-too-long",
        `A line has more than ${longestLine} characters; its rest was not read.`,
        {
          line,
          column: longestLine + 1,
        },
      );
    yield { line, text: text.slice(start, Math.min(end, start + longestLine)) };
    if (found < 0) return;
    start = end + (text.charCodeAt(end) === 0x0d && text.charCodeAt(end + 1) === 0x0a ? 2 : 1);
    line += 1;
  }
}

function nextLineEnd(text: string, start: number): number {
  for (let i = start; i < text.length; i += 1) {
    const unit = text.charCodeAt(i);
    if (unit === 0x0a || unit === 0x0d) return i;
  }
  return -1;
}
