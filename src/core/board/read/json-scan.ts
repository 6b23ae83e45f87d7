import { quoted } from "./problem-list.js";

/** Where a value, the names of its fields and its children begin, as offsets in the text. */
export interface JsonOffsets {
  readonly start: number;
  readonly names?: ReadonlyMap<string, number>;
  readonly children?: ReadonlyMap<string | number, JsonOffsets>;
}

/** A value and its offsets. */
export interface ScannedJson {
  readonly value: unknown;
  readonly offsets: JsonOffsets;
}

const numberPattern = /-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?/y;
const hexPattern = /[0-9A-Fa-f]{4}/y;
const simpleEscapes: Readonly<Record<string, string>> = {
  '"': '"',
  "\\": "\\",
  "/": "/",
  b: "\b",
  f: "\f",
  n: "\n",
  r: "\r",
  t: "\t",
};

/** Scans one JSON text from front to back; `failure` holds why `document` returned undefined. */
export class JsonScanner {
  readonly duplicates: { offset: number; name: string }[] = [];
  failure = { code: "json-syntax", message: "", offset: 0 };
  private readonly text: string;
  private readonly maximumDepth: number;
  private at = 0;

  constructor(text: string, maximumDepth: number) {
    this.text = text;
    this.maximumDepth = maximumDepth;
  }

  document(): ScannedJson | undefined {
    if (this.text.charCodeAt(0) === 0xfeff) this.at = 1;
    const scanned = this.value(0);
    if (scanned === undefined) return undefined;
    this.skipSpace();
    if (this.at < this.text.length) return this.fail("The text goes on after the end of its JSON value.");
    return scanned;
  }

  private fail(message: string, code = "json-syntax"): undefined {
    this.failure = { code, message, offset: this.at };
    return undefined;
  }

  private found(): string {
    const code = this.text.codePointAt(this.at);
    return code === undefined ? "the end of the text" : quoted(String.fromCodePoint(code));
  }

  private skipSpace(): void {
    for (;;) {
      const unit = this.text.charCodeAt(this.at);
      if (unit !== 0x20 && unit !== 0x0a && unit !== 0x0d && unit !== 0x09) return;
      this.at += 1;
    }
  }

  // Recursion is bounded by maximumDepth.
  private value(depth: number): ScannedJson | undefined {
    this.skipSpace();
    const start = this.at;
    const first = this.text.charAt(start);
    if (first === "{" || first === "[") {
      if (depth >= this.maximumDepth) {
        return this.fail(
          `Arrays and objects are nested more than ${this.maximumDepth} deep.`,
          "json-nested-too-deep",
        );
      }
      this.at += 1;
      return first === "{" ? this.object(start, depth) : this.array(start, depth);
    }
    if (first === '"') {
      const text = this.string();
      return text === undefined ? undefined : { value: text, offsets: { start } };
    }
    for (const [word, value] of words) {
      if (this.text.startsWith(word, start)) {
        this.at += word.length;
        return { value, offsets: { start } };
      }
    }
    numberPattern.lastIndex = start;
    const number = numberPattern.exec(this.text);
    if (number === null) return this.fail(`A JSON value was expected here, not ${this.found()}.`);
    this.at += number[0].length;
    return { value: Number(number[0]), offsets: { start } };
  }

  private array(start: number, depth: number): ScannedJson | undefined {
    const items: unknown[] = [];
    const children = new Map<number, JsonOffsets>();
    this.skipSpace();
    if (this.text.charAt(this.at) === "]") {
      this.at += 1;
      return { value: items, offsets: { start, children } };
    }
    for (;;) {
      const item = this.value(depth + 1);
      if (item === undefined) return undefined;
      children.set(items.length, item.offsets);
      items.push(item.value);
      this.skipSpace();
      const next = this.text.charAt(this.at);
      if (next !== "," && next !== "]")
        return this.fail(`A comma or ']' was expected here, not ${this.found()}.`);
      this.at += 1;
      if (next === "]") return { value: items, offsets: { start, children } };
    }
  }

  private object(start: number, depth: number): ScannedJson | undefined {
    const entries = new Map<string, unknown>();
    const names = new Map<string, number>();
    const children = new Map<string, JsonOffsets>();
    this.skipSpace();
    if (this.text.charAt(this.at) === "}") {
      this.at += 1;
      return { value: {}, offsets: { start, names, children } };
    }
    for (;;) {
      this.skipSpace();
      const nameStart = this.at;
      if (this.text.charAt(this.at) !== '"')
        return this.fail(`A name in double quotes was expected here, not ${this.found()}.`);
      const name = this.string();
      if (name === undefined) return undefined;
      this.skipSpace();
      if (this.text.charAt(this.at) !== ":")
        return this.fail(`A colon was expected here, not ${this.found()}.`);
      this.at += 1;
      const field = this.value(depth + 1);
      if (field === undefined) return undefined;
      if (entries.has(name)) this.duplicates.push({ offset: nameStart, name });
      entries.set(name, field.value);
      names.set(name, nameStart);
      children.set(name, field.offsets);
      this.skipSpace();
      const next = this.text.charAt(this.at);
      if (next !== "," && next !== "}")
        return this.fail(`A comma or '}' was expected here, not ${this.found()}.`);
      this.at += 1;
      // fromEntries defines own properties, so that a field called __proto__ stays a field.
      if (next === "}") return { value: Object.fromEntries(entries), offsets: { start, names, children } };
    }
  }

  private string(): string | undefined {
    const opening = this.at;
    const pieces: string[] = [];
    this.at += 1;
    let from = this.at;
    for (;;) {
      const unit = this.text.charCodeAt(this.at);
      if (unit === 0x22) {
        pieces.push(this.text.slice(from, this.at));
        this.at += 1;
        return pieces.join("");
      }
      if (Number.isNaN(unit)) {
        this.at = opening;
        return this.fail("A string is not closed.");
      }
      if (unit < 0x20) return this.fail("A string holds a raw line break or control character.");
      if (unit === 0x5c) {
        pieces.push(this.text.slice(from, this.at));
        const resolved = this.escape();
        if (resolved === undefined) return undefined;
        pieces.push(resolved);
        from = this.at;
      } else {
        this.at += 1;
      }
    }
  }

  private escape(): string | undefined {
    const letter = this.text.charAt(this.at + 1);
    if (letter === "u") {
      hexPattern.lastIndex = this.at + 2;
      const digits = hexPattern.exec(this.text);
      if (digits === null) return this.fail("Four hexadecimal digits must follow \\u.");
      this.at += 6;
      return String.fromCharCode(Number.parseInt(digits[0], 16));
    }
    const simple = Object.hasOwn(simpleEscapes, letter) ? simpleEscapes[letter] : undefined;
    if (simple === undefined) return this.fail(`${quoted(`\\${letter}`)} is no escape that JSON knows.`);
    this.at += 2;
    return simple;
  }
}

const words: readonly (readonly [string, unknown])[] = [
  ["true", true],
  ["false", false],
  ["null", null],
];
