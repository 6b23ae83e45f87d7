import type { Parsed } from "../../base/problem.js";
import type { Expression } from "../expression.js";
import { createProblemList, quoted } from "../read/problem-list.js";
import type { CellLogic } from "./fuse-logic.js";

const mostCharacters = 200_000;
const deepest = 60;

/**
 * Reads equations of a programmable device, a line each; pins are named by their numbers or by names given before:
 * `pin 2 = A`, `19 = A & !B | C`, `/18 := A`, `19.oe = !B`. `!` or `/` is not, `&` and, `|` or; `=` holds always, `:=`
 * from the clock on, where pin 11 low drives the outputs. A `/` before the pin inverts the whole. What follows `;` is a
 * remark. The value is absent if there was an error. Codes: `equation-syntax`, `unknown-name`, `pin-twice`. O(characters).
 */
export function parseEquations(text: string, options: { readonly file?: string } = {}): Parsed<CellLogic[]> {
  const problems = createProblemList(options.file);
  if (text.length > mostCharacters) {
    problems.error("equation-syntax", `The text has more than ${mostCharacters} characters.`, {});
    return { problems: problems.all() };
  }
  const names = new Map<string, string>();
  const cells = new Map<number, CellLogic>();
  const enables = new Map<number, { readonly enable: Expression; readonly line: number }>();
  for (const [i, raw] of text.split(/\r?\n/).entries()) {
    const line = i + 1;
    const code = raw.split(";", 1)[0]?.trim() ?? "";
    if (code === "") continue;
    const named = /^pin\s+(\d{1,2})\s*=\s*([A-Za-z_]\w{0,30})$/i.exec(code);
    if (named?.[1] !== undefined && named[2] !== undefined) {
      names.set(named[2], String(Number(named[1])));
      continue;
    }
    const parts = /^([!/]?)\s*(\w{1,31})(\.oe)?\s*(:?=)\s*(.+)$/i.exec(code);
    const [, slash = "", target = "", isEnable, sign, right = ""] = parts ?? [];
    const pin = Number(pinOf(target, names) ?? Number.NaN);
    if (parts === null || Number.isNaN(pin)) {
      problems.error(
        "equation-syntax",
        `${quoted(code.slice(0, 60))} is no equation: a pin, = or :=, and its inputs are expected.`,
        { line },
        "As in: 19 = 2 & !3 | 4.",
      );
      continue;
    }
    const read = new ExpressionReader(right, names).read();
    if ("problem" in read) {
      problems.error(read.code, read.problem, { line });
      continue;
    }
    const level: Expression = slash === "" ? read.expression : ["not", read.expression];
    if (isEnable !== undefined) {
      enables.set(pin, { enable: level, line });
      continue;
    }
    if (cells.has(pin)) problems.error("pin-twice", `Pin ${pin} has two equations.`, { line });
    const isRegistered = sign === ":=";
    cells.set(pin, { pin, level, enable: isRegistered ? ["not", "11"] : true, isRegistered });
  }
  for (const [pin, { enable, line }] of enables) {
    const cell = cells.get(pin);
    if (cell === undefined)
      problems.error("equation-syntax", `Pin ${pin} is enabled, and has no equation.`, { line });
    else cells.set(pin, { ...cell, enable });
  }
  if (cells.size === 0 && !problems.hasErrors())
    problems.error("equation-syntax", "There is no equation.", {}, "As in: 19 = 2 & !3 | 4.");
  return problems.hasErrors()
    ? { problems: problems.all() }
    : { value: [...cells.values()], problems: problems.all() };
}

function pinOf(name: string, names: ReadonlyMap<string, string>): string | undefined {
  return names.get(name) ?? (/^\d{1,2}$/.test(name) ? String(Number(name)) : undefined);
}

type Read = { readonly expression: Expression } | { readonly code: string; readonly problem: string };

class ExpressionReader {
  private readonly tokens: readonly string[];
  private readonly names: ReadonlyMap<string, string>;
  private at = 0;
  private depth = 0;

  constructor(text: string, names: ReadonlyMap<string, string>) {
    this.tokens = text.match(/\w+|[^\s\w]/g) ?? [];
    this.names = names;
  }

  read(): Read {
    const read = this.sum();
    if ("problem" in read || this.at === this.tokens.length) return read;
    return {
      code: "equation-syntax",
      problem: `${quoted(this.tokens[this.at] ?? "")} is not expected here.`,
    };
  }

  private sum(): Read {
    return this.joined("|", "or", () => this.joined("&", "and", () => this.factor()));
  }

  private joined(sign: string, operator: "or" | "and", next: () => Read): Read {
    const first = next();
    if ("problem" in first) return first;
    const all = [first.expression];
    while (this.tokens[this.at] === sign) {
      this.at += 1;
      const more = next();
      if ("problem" in more) return more;
      all.push(more.expression);
    }
    const [one, two, ...rest] = all;
    if (one === undefined || two === undefined) return first;
    return { expression: [operator, one, two, ...rest] };
  }

  private factor(): Read {
    const token = this.tokens[this.at];
    this.at += 1;
    if (token === undefined) return { code: "equation-syntax", problem: "The equation breaks off." };
    if (token === "!" || token === "/" || token === "(") {
      this.depth += 1;
      if (this.depth > deepest)
        return { code: "equation-syntax", problem: "The equation is nested too deeply." };
      const inner = token === "(" ? this.sum() : this.factor();
      this.depth -= 1;
      if ("problem" in inner) return inner;
      if (token !== "(") return { expression: ["not", inner.expression] };
      if (this.tokens[this.at] !== ")")
        return { code: "equation-syntax", problem: "A closing ) is missing." };
      this.at += 1;
      return inner;
    }
    const pin = pinOf(token, this.names);
    if (pin === undefined) return { code: "unknown-name", problem: `No pin is called ${quoted(token)}.` };
    return { expression: pin };
  }
}
