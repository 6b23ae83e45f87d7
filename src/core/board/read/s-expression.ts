import type { Parsed } from "../../base/problem.js";
import { createProblemList, type ProblemList } from "./problem-list.js";

/** A word or a quoted string; `text` has its escapes resolved. Line and column start at 1, columns count UTF-16 units. */
export interface SExpressionAtom {
  readonly kind: "atom";
  readonly text: string;
  readonly quoted: boolean;
  readonly line: number;
  readonly column: number;
}

/** A parenthesised list; line and column are those of its opening parenthesis. */
export interface SExpressionList {
  readonly kind: "list";
  readonly items: readonly SExpression[];
  readonly line: number;
  readonly column: number;
}

export type SExpression = SExpressionAtom | SExpressionList;

/** Bounds that keep hostile or damaged text harmless. */
export interface SExpressionOptions {
  /** Named in every problem. */
  readonly file?: string;
  /** Lists within lists; what lies deeper is skipped and reported. Default 64. */
  readonly maximumDepth?: number;
  /** Atoms and lists together; reading stops there. Default 4 million. */
  readonly maximumNodes?: number;
  /** UTF-16 units of text; reading stops there. Default 64 million. */
  readonly maximumCharacters?: number;
  /** Lists whose first word is one of these are read past and not kept, so that they take no memory. */
  readonly omit?: ReadonlySet<string>;
  /** `backslash` as KiCad writes strings (the default); `none` takes every character as it is and lets strings span lines. */
  readonly escapes?: "backslash" | "none";
}

/** Takes the text in pieces of any size. */
export interface SExpressionReader {
  feed(piece: string): void;
  /** All top-level expressions; lists still open are closed and reported. Call once, at the end. */
  finish(): Parsed<readonly SExpression[]>;
}

interface OpenList {
  readonly items: SExpression[];
  readonly line: number;
  readonly column: number;
}

const openParenthesis = 0x28;
const closeParenthesis = 0x29;
const quote = 0x22;
const backslash = 0x5c;
const lineFeed = 0x0a;
const carriageReturn = 0x0d;
const escapes: Readonly<Record<string, string>> = { n: "\n", r: "\r", t: "\t" };

/**
 * A reader for s-expressions as KiCad writes them: lists, words, and strings in double quotes in which a backslash
 * takes the next character as it is, save `\n`, `\r` and `\t`. A raw line break ends a string and is reported.
 * Never throws on any text, uses no recursion, and takes time in proportion to the text.
 */
export function createSExpressionReader(options: SExpressionOptions = {}): SExpressionReader {
  return new Reader(options);
}

/** Reads a whole text at once; see `createSExpressionReader`. */
export function readSExpressions(
  text: string,
  options: SExpressionOptions = {},
): Parsed<readonly SExpression[]> {
  const reader = createSExpressionReader(options);
  reader.feed(text);
  return reader.finish();
}

class Reader implements SExpressionReader {
  private readonly problems: ProblemList;
  private readonly maximumDepth: number;
  private readonly maximumNodes: number;
  private readonly maximumCharacters: number;
  private readonly omit: ReadonlySet<string>;
  private readonly hasEscapes: boolean;
  private readonly top: SExpression[] = [];
  private readonly open: OpenList[] = [];
  // Lists below the depth limit are only counted, so that their closing parentheses still match.
  private skippedDepth = 0;
  private nodes = 0;
  private characters = 0;
  private stopped = false;
  private line = 1;
  private column = 1;
  private afterCarriageReturn = false;
  private state: "between" | "word" | "string" | "escape" = "between";
  // Text of the token in hand that came before the present position; pieces, because a token may span feeds.
  private pieces: string[] = [];
  private tokenLine = 1;
  private tokenColumn = 1;

  constructor(options: SExpressionOptions) {
    this.problems = createProblemList(options.file);
    this.maximumDepth = options.maximumDepth ?? 64;
    this.maximumNodes = options.maximumNodes ?? 4_000_000;
    this.maximumCharacters = options.maximumCharacters ?? 64_000_000;
    this.omit = options.omit ?? new Set();
    this.hasEscapes = options.escapes !== "none";
  }

  feed(piece: string): void {
    if (this.stopped) return;
    let text = piece;
    if (this.characters + text.length > this.maximumCharacters) {
      text = text.slice(0, this.maximumCharacters - this.characters);
      this.scan(text);
      this.stop(
        "input-too-large",
        `The text is longer than ${this.maximumCharacters} characters; the rest was not read.`,
      );
      return;
    }
    this.scan(text);
  }

  private scan(text: string): void {
    this.characters += text.length;
    let tokenStart = 0;
    for (let i = 0; i < text.length && !this.stopped; i += 1) {
      const unit = text.charCodeAt(i);
      if (this.state === "word" && endsWord(unit)) {
        this.pieces.push(text.slice(tokenStart, i));
        this.endAtom(false);
      }
      if (this.state === "between") {
        if (unit === openParenthesis) this.openList();
        else if (unit === closeParenthesis) this.closeList();
        else if (unit === quote) {
          this.beginAtom("string");
          tokenStart = i + 1;
        } else if (unit > 0x20) {
          this.beginAtom("word");
          tokenStart = i;
        }
      } else if (this.state === "escape") {
        const character = text.charAt(i);
        this.pieces.push(escapes[character] ?? character);
        this.state = "string";
        tokenStart = i + 1;
      } else if (this.state === "string") {
        if (unit === backslash && this.hasEscapes) {
          this.pieces.push(text.slice(tokenStart, i));
          this.state = "escape";
        } else if (unit === quote) {
          this.pieces.push(text.slice(tokenStart, i));
          this.endAtom(true);
        } else if (this.hasEscapes && (unit === lineFeed || unit === carriageReturn)) {
          this.pieces.push(text.slice(tokenStart, i));
          this.unclosedString();
        }
      }
      this.advance(unit);
    }
    if (this.state === "word" || this.state === "string") this.pieces.push(text.slice(tokenStart));
  }

  private advance(unit: number): void {
    if (unit === lineFeed && this.afterCarriageReturn) {
      this.afterCarriageReturn = false;
      return;
    }
    this.afterCarriageReturn = unit === carriageReturn;
    if (unit === lineFeed || unit === carriageReturn) {
      this.line += 1;
      this.column = 1;
    } else {
      this.column += 1;
    }
  }

  private beginAtom(state: "word" | "string"): void {
    this.state = state;
    this.pieces = [];
    this.tokenLine = this.line;
    this.tokenColumn = this.column;
  }

  private endAtom(isQuoted: boolean): void {
    this.state = "between";
    const text = this.pieces.join("");
    this.pieces = [];
    if (this.skippedDepth > 0) return;
    this.add({ kind: "atom", text, quoted: isQuoted, line: this.tokenLine, column: this.tokenColumn });
  }

  private unclosedString(): void {
    this.problems.error(
      "unclosed-string",
      `A string is not closed before the end of ${this.hasEscapes ? "its line" : "the text"}.`,
      { line: this.tokenLine, column: this.tokenColumn },
      "Export the file again; it looks damaged here.",
    );
    this.endAtom(true);
  }

  private openList(): void {
    if (this.skippedDepth > 0) {
      this.skippedDepth += 1;
      return;
    }
    if (this.open.length >= this.maximumDepth) {
      this.problems.error(
        "nested-too-deep",
        `Lists are nested more than ${this.maximumDepth} deep; the inner ones were skipped.`,
        {
          line: this.line,
          column: this.column,
        },
      );
      this.skippedDepth = 1;
      return;
    }
    this.open.push({ items: [], line: this.line, column: this.column });
  }

  private closeList(): void {
    if (this.skippedDepth > 0) {
      this.skippedDepth -= 1;
      return;
    }
    const list = this.open.pop();
    if (list === undefined) {
      this.problems.error("unexpected-close", "A closing parenthesis has no opening one.", {
        line: this.line,
        column: this.column,
      });
      return;
    }
    const [first] = list.items;
    if (first?.kind === "atom" && this.omit.has(first.text)) return;
    this.add({ kind: "list", items: list.items, line: list.line, column: list.column });
  }

  private add(node: SExpression): void {
    this.nodes += 1;
    (this.open.at(-1)?.items ?? this.top).push(node);
    if (this.nodes >= this.maximumNodes) {
      this.stop(
        "input-too-large",
        `The text holds more than ${this.maximumNodes} items; the rest was not read.`,
      );
    }
  }

  private stop(code: string, message: string): void {
    this.stopped = true;
    this.problems.error(
      code,
      message,
      { line: this.line, column: this.column },
      "Split the material or export less of it.",
    );
  }

  finish(): Parsed<readonly SExpression[]> {
    if (!this.stopped) {
      if (this.state === "word") this.endAtom(false);
      else if (this.state !== "between") this.unclosedString();
    }
    const innermost = this.open.at(-1);
    if (innermost !== undefined) {
      if (!this.stopped) {
        const count = this.open.length + this.skippedDepth;
        this.problems.error(
          "unclosed-list",
          `The text ends with ${count} ${count === 1 ? "list" : "lists"} still open; the innermost begins here.`,
          { line: innermost.line, column: innermost.column },
          "The file looks cut short; export or copy it again.",
        );
      }
      for (let list = this.open.pop(); list !== undefined; list = this.open.pop()) {
        (this.open.at(-1)?.items ?? this.top).push({
          kind: "list",
          items: list.items,
          line: list.line,
          column: list.column,
        });
      }
    }
    return { value: this.top, problems: this.problems.all() };
  }
}

function endsWord(unit: number): boolean {
  return unit <= 0x20 || unit === openParenthesis || unit === closeParenthesis || unit === quote;
}
