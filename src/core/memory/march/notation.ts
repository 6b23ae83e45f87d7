import { nearestName } from "../../base/nearest.js";
import type { Parsed, Problem } from "../../base/problem.js";
import type { MarchElement, MarchOperation, MarchOrder, MarchTest } from "./march.js";

/** Longest notation that is read, in characters. */
export const maximumNotationLength = 5000;

const orderSigns: Readonly<Record<string, MarchOrder>> = {
  "⇑": "up",
  "↑": "up",
  "^": "up",
  "⇓": "down",
  "↓": "down",
  v: "down",
  "⇕": "any",
  "↕": "any",
  "*": "any",
};

const printedOrders: Readonly<Record<MarchOrder, string>> = { up: "⇑", down: "⇓", any: "⇕" };

const operationOf: Readonly<Record<string, MarchOperation>> = {
  r0: { kind: "read", inverted: false },
  r1: { kind: "read", inverted: true },
  w0: { kind: "write", inverted: false },
  w1: { kind: "write", inverted: true },
};

const unitSeconds: Readonly<Record<string, number>> = { us: 1e-6, ms: 1e-3, s: 1 };

/**
 * Reads a march test in the notation of the literature: `{⇕(w0);⇑(r0,w1);Del 100 ms;⇓(r1,w0)}`. The orders may be
 * written `⇑ ↑ ^`, `⇓ ↓ v` and `⇕ ↕ *`; braces and blanks are optional; `Del` is a pause, with its time in us, ms or s
 * or without. The value is absent if anything is wrong; problems give the column.
 * Codes: `march-empty`, `march-too-long`, `march-order`, `march-brackets`, `march-operation`, `march-pause`.
 */
export function parseMarch(text: string): Parsed<MarchTest> {
  if (text.length > maximumNotationLength) {
    return refused(
      "march-too-long",
      `The notation has ${text.length} characters; ${maximumNotationLength} are read.`,
      0,
    );
  }
  const problems: Problem[] = [];
  const elements: MarchElement[] = [];
  for (const { piece, offset } of piecesOf(text)) {
    const { value, problems: found } = parseElement(piece, offset);
    problems.push(...found);
    if (value !== undefined) elements.push(value);
  }
  if (problems.length > 0) return { problems };
  if (elements.length === 0)
    return refused("march-empty", "There is no march element here; expected one such as ⇑(r0,w1).", 0);
  return { value: { elements }, problems };
}

/** The notation of a test as the literature prints it; {@link parseMarch} reads it back to the same test. */
export function printMarch({ elements }: MarchTest): string {
  return `{${elements.map(printElement).join(";")}}`;
}

function printElement(element: MarchElement): string {
  if (element.kind === "pause")
    return element.seconds === undefined ? "Del" : `Del ${printSeconds(element.seconds)}`;
  const operations = element.operations.map(
    ({ kind, inverted }) => `${kind === "read" ? "r" : "w"}${inverted ? 1 : 0}`,
  );
  return `${printedOrders[element.order]}(${operations.join(",")})`;
}

function printSeconds(seconds: number): string {
  return seconds < 1 && seconds >= 1e-3 ? `${Number((seconds * 1000).toPrecision(12))} ms` : `${seconds} s`;
}

interface Piece {
  readonly piece: string;
  /** Where it begins in the whole text, from 0. */
  readonly offset: number;
}

function piecesOf(text: string): Piece[] {
  const start = text.length - text.trimStart().length;
  const end = text.trimEnd().length;
  const isBraced = text[start] === "{" && text[end - 1] === "}" && end > start + 1;
  const from = isBraced ? start + 1 : start;
  const to = Math.max(from, isBraced ? end - 1 : end);
  const pieces: Piece[] = [];
  let offset = from;
  for (const part of text.slice(from, to).split(";")) {
    const piece = part.trim();
    if (piece !== "") pieces.push({ piece, offset: offset + part.length - part.trimStart().length });
    offset += part.length + 1;
  }
  return pieces;
}

function parseElement(piece: string, offset: number): Parsed<MarchElement> {
  if (/^del/i.test(piece)) return parsePause(piece, offset);
  const [sign = ""] = piece;
  const order = Object.hasOwn(orderSigns, sign) ? orderSigns[sign] : undefined;
  if (order === undefined) {
    return refused(
      "march-order",
      `An element begins with ⇑ (or ^), ⇓ (or v) or ⇕ (or *), or is Del; got "${piece.slice(0, 20)}".`,
      offset,
    );
  }
  const inside = /^\s*\(([^()]*)\)$/.exec(piece.slice(sign.length));
  if (inside === null) {
    return refused(
      "march-brackets",
      `After ${sign} its operations stand in brackets, as ${sign}(r0,w1).`,
      offset + sign.length,
    );
  }
  const operations: MarchOperation[] = [];
  const problems: Problem[] = [];
  const written = inside[1] ?? "";
  let at = offset + sign.length + inside[0].indexOf("(") + 1;
  for (const part of written.split(",")) {
    const name = part.trim().toLowerCase();
    const operation = Object.hasOwn(operationOf, name) ? operationOf[name] : undefined;
    if (operation === undefined) {
      const near = nearestName(name, Object.keys(operationOf));
      problems.push(
        problem(
          "march-operation",
          `Expected r0, r1, w0 or w1, got "${part.trim().slice(0, 20)}".`,
          at + part.length - part.trimStart().length,
          near === undefined ? undefined : `Did you mean ${near}?`,
        ),
      );
    } else operations.push(operation);
    at += part.length + 1;
  }
  return problems.length > 0 ? { problems } : { value: { kind: "sweep", order, operations }, problems };
}

function parsePause(piece: string, offset: number): Parsed<MarchElement> {
  const match = /^del(?:\s*(\d{1,9}(?:\.\d{1,9})?)\s*(us|ms|s))?$/i.exec(piece);
  if (match === null) {
    return refused(
      "march-pause",
      `A pause is Del, or Del with its time, as Del 100 ms; got "${piece.slice(0, 30)}".`,
      offset,
    );
  }
  const [, count, unit = ""] = match;
  if (count === undefined) return { value: { kind: "pause" }, problems: [] };
  return {
    value: { kind: "pause", seconds: Number(count) * (unitSeconds[unit.toLowerCase()] ?? 1) },
    problems: [],
  };
}

function refused(code: string, message: string, offset: number): { readonly problems: readonly Problem[] } {
  return { problems: [problem(code, message, offset)] };
}

function problem(code: string, message: string, offset: number, hint?: string): Problem {
  const where = { column: offset + 1 };
  return { code, severity: "error", message, where, ...(hint === undefined ? {} : { hint }) };
}
