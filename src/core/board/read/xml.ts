import type { Parsed } from "../../base/problem.js";
import { createProblemList, type ProblemList, quoted } from "./problem-list.js";
import type { SExpression, SExpressionAtom, SExpressionList } from "./s-expression.js";

/** Bounds of the reader, and the file named in problems. */
export interface XmlOptions {
  readonly file?: string;
  /** Elements within elements; what lies deeper is skipped and reported. Default 32. */
  readonly maximumDepth?: number;
  /** Elements, attributes and texts together; reading stops there. Default 4 million. */
  readonly maximumNodes?: number;
  /** UTF-16 units of text; more is not read at all. Default 64 million. */
  readonly maximumCharacters?: number;
}

const entities: Readonly<Record<string, string>> = { amp: "&", lt: "<", gt: ">", quot: '"', apos: "'" };
const namePattern = /[A-Za-z_:][A-Za-z0-9_:.-]*/y;
const attributePattern = /\s*([A-Za-z_:][A-Za-z0-9_:.-]*)\s*=\s*("[^"<]*"|'[^'<]*')/y;
const blank = /\s/;

interface OpenElement {
  readonly name: string;
  readonly items: SExpression[];
  readonly line: number;
  readonly column: number;
}

/**
 * Reads the part of XML 1.0 (W3C Recommendation, 5th edition) that data exports use, as lists: an element becomes a list
 * of its name, a list of name and value for each attribute, and then what it holds, texts as atoms.
 * Document types, and with them entities that refer to others, are not read but reported. Never throws on any text, uses
 * no recursion, and takes time in proportion to the text.
 *
 * Codes: `document-type`, `unknown-entity`, `malformed-tag`, `unclosed-tag`, `unexpected-close`, `unclosed-element`,
 * `nested-too-deep`, `input-too-large`.
 */
export function readXml(text: string, options: XmlOptions = {}): Parsed<readonly SExpression[]> {
  return new XmlReader(text, options).read();
}

class XmlReader {
  private readonly text: string;
  private readonly problems: ProblemList;
  private readonly maximumDepth: number;
  private readonly maximumNodes: number;
  private readonly maximumCharacters: number;
  private readonly top: SExpression[] = [];
  private readonly open: OpenElement[] = [];
  // Open elements below the depth limit, so that their closing tags still match.
  private skippedDepth = 0;
  private nodes = 0;
  private at = 0;
  private line = 1;
  // Places are asked for in rising order, so that line ends are counted once.
  private counted = 0;
  private lineStart = 0;

  constructor(text: string, options: XmlOptions) {
    this.text = text;
    this.problems = createProblemList(options.file);
    this.maximumDepth = options.maximumDepth ?? 32;
    this.maximumNodes = options.maximumNodes ?? 4_000_000;
    this.maximumCharacters = options.maximumCharacters ?? 64_000_000;
  }

  read(): Parsed<readonly SExpression[]> {
    const { text } = this;
    if (text.length > this.maximumCharacters) {
      this.problems.error(
        "input-too-large",
        `The text is longer than ${this.maximumCharacters} characters; it was not read.`,
        { line: 1, column: 1 },
      );
      return { value: [], problems: this.problems.all() };
    }
    while (this.at < text.length) {
      if (this.nodes >= this.maximumNodes) {
        this.problems.error(
          "input-too-large",
          `The text holds more than ${this.maximumNodes} items; the rest was not read.`,
          this.place(this.at),
        );
        break;
      }
      const opening = text.indexOf("<", this.at);
      const end = opening < 0 ? text.length : opening;
      this.addText(this.at, end, false);
      this.at = end;
      if (opening >= 0) this.markup(opening);
    }
    this.closeAll();
    return { value: this.top, problems: this.problems.all() };
  }

  private place(at: number): { line: number; column: number } {
    for (let i = this.counted; i < at; i += 1) {
      const unit = this.text.charCodeAt(i);
      if (unit === 0x0a || (unit === 0x0d && this.text.charCodeAt(i + 1) !== 0x0a)) {
        this.line += 1;
        this.lineStart = i + 1;
      }
    }
    this.counted = Math.max(this.counted, at);
    return { line: this.line, column: at - this.lineStart + 1 };
  }

  private markup(start: number): void {
    const { text } = this;
    if (text.startsWith("<!--", start)) this.skipTo("-->", start, "comment");
    else if (text.startsWith("<?", start)) this.skipTo("?>", start, "processing instruction");
    else if (text.startsWith("<![CDATA[", start)) {
      const end = this.skipTo("]]>", start, "character section");
      this.addText(start + 9, end, true);
    } else if (text.startsWith("<!", start)) {
      this.problems.error(
        "document-type",
        "The text declares a document type; such declarations and their entities are not read.",
        this.place(start),
        "Export the file again in the program it came from.",
      );
      this.skipTo(">", start, "declaration");
    } else if (text.startsWith("</", start)) this.closingTag(start);
    else this.openingTag(start);
  }

  /** Goes on behind `end`, or to the end of the text; returns where `end` begins. */
  private skipTo(end: string, start: number, what: string): number {
    const found = this.text.indexOf(end, start);
    if (found < 0) {
      this.problems.error("unclosed-tag", `A ${what} is not closed.`, this.place(start));
      this.at = this.text.length;
      return this.at;
    }
    this.at = found + end.length;
    return found;
  }

  private openingTag(start: number): void {
    const { text } = this;
    const place = this.place(start);
    namePattern.lastIndex = start + 1;
    const name = namePattern.exec(text)?.[0];
    if (name === undefined) {
      this.problems.error("malformed-tag", "A '<' begins no tag; '&lt;' was expected.", place);
      this.at = start + 1;
      return;
    }
    let at = start + 1 + name.length;
    const items: SExpression[] = [atom(name, place, false)];
    for (;;) {
      attributePattern.lastIndex = at;
      const found = attributePattern.exec(text);
      const [whole, key, value] = found ?? [];
      if (whole === undefined || key === undefined || value === undefined) break;
      at += whole.length;
      const inside = this.unescape(value.slice(1, -1), at - value.length + 1);
      items.push({ kind: "list", items: [atom(key, place, false), atom(inside, place, true)], ...place });
      this.nodes += 1;
    }
    while (at < text.length && blank.test(text.charAt(at))) at += 1;
    let isEmpty = text.startsWith("/>", at);
    if (!isEmpty && text.charAt(at) !== ">") {
      this.problems.error(
        "malformed-tag",
        `The tag ${quoted(name)} is damaged: a name with a quoted value, or '>', was expected.`,
        this.place(at),
      );
      // Only up to the next tag: each character is looked at once, however many tags are damaged.
      const next = text.indexOf("<", at);
      const rest = text.slice(at, next < 0 ? text.length : next);
      const end = rest.indexOf(">");
      isEmpty = end > 0 && rest.charAt(end - 1) === "/";
      at += end >= 0 ? end - (isEmpty ? 1 : 0) : Math.max(0, rest.length - 1);
    }
    this.at = Math.max(start + 1, at + (isEmpty ? 2 : 1));
    this.nodes += 1;
    if (this.open.length >= this.maximumDepth || this.skippedDepth > 0) {
      if (this.skippedDepth === 0)
        this.problems.error(
          "nested-too-deep",
          `Elements are nested more than ${this.maximumDepth} deep; the inner ones were skipped.`,
          place,
        );
      if (!isEmpty) this.skippedDepth += 1;
      return;
    }
    if (isEmpty) this.add({ kind: "list", items, ...place });
    else this.open.push({ name, items, ...place });
  }

  private closingTag(start: number): void {
    const end = this.skipTo(">", start, "closing tag");
    if (this.skippedDepth > 0) {
      this.skippedDepth -= 1;
      return;
    }
    const name = this.text.slice(start + 2, Math.min(end, start + 200)).trim();
    const index = this.open.findLastIndex((element) => element.name === name);
    if (index < 0) {
      this.problems.error(
        "unexpected-close",
        `The closing tag ${quoted(name)} has no opening one.`,
        this.place(start),
      );
      return;
    }
    while (this.open.length > index + 1) this.closeInnermost(true);
    this.closeInnermost(false);
  }

  private closeInnermost(isMissing: boolean): void {
    const element = this.open.pop();
    if (element === undefined) return;
    const { name, items, line, column } = element;
    if (isMissing)
      this.problems.error("unclosed-element", `The element ${quoted(name)} is not closed.`, {
        line,
        column,
        field: name,
      });
    this.add({ kind: "list", items, line, column });
  }

  private closeAll(): void {
    const innermost = this.open.at(-1);
    if (innermost === undefined) return;
    this.problems.error(
      "unclosed-element",
      `The text ends with ${this.open.length + this.skippedDepth} elements still open; the innermost begins here.`,
      { line: innermost.line, column: innermost.column, field: innermost.name },
      "The file looks cut short; export or copy it again.",
    );
    while (this.open.length > 0) this.closeInnermost(false);
  }

  private addText(start: number, end: number, isRaw: boolean): void {
    const inside = this.open.at(-1);
    if (inside === undefined || this.skippedDepth > 0 || end <= start) return;
    const piece = this.text.slice(start, end);
    if (piece.trim() === "") return;
    const place = this.place(start);
    this.nodes += 1;
    inside.items.push(atom(isRaw ? piece : this.unescape(piece.trim(), start), place, true));
  }

  private add(list: SExpressionList): void {
    (this.open.at(-1)?.items ?? this.top).push(list);
  }

  private unescape(piece: string, at: number): string {
    if (!piece.includes("&")) return piece;
    return piece.replace(
      /&(#x[0-9A-Fa-f]{1,6}|#[0-9]{1,7}|[A-Za-z][A-Za-z0-9]*)?;?/g,
      (whole, name: string | undefined) => {
        const plain = name !== undefined && whole.endsWith(";") ? characterOf(name) : undefined;
        if (plain !== undefined) return plain;
        this.problems.error(
          "unknown-entity",
          `${quoted(whole)} stands for no character; it was left as it is.`,
          this.place(at),
        );
        return whole;
      },
    );
  }
}

function characterOf(name: string): string | undefined {
  if (!name.startsWith("#")) return Object.hasOwn(entities, name) ? entities[name] : undefined;
  const code = name.startsWith("#x") ? Number.parseInt(name.slice(2), 16) : Number(name.slice(1));
  const isCharacter = code > 0 && code <= 0x10ffff && (code < 0xd800 || code > 0xdfff);
  return isCharacter ? String.fromCodePoint(code) : undefined;
}

function atom(
  text: string,
  { line, column }: { line: number; column: number },
  quoted: boolean,
): SExpressionAtom {
  return { kind: "atom", text, quoted, line, column };
}
