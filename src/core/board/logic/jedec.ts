import type { Parsed } from "../../base/problem.js";
import { createProblemList } from "../read/problem-list.js";

/** A fuse file as read. */
export interface FuseFile {
  /** State of each fuse: 0 intact, 1 blown. */
  readonly fuses: Uint8Array;
  /** Pins of the device, where the file says. */
  readonly pins?: number;
  /** What the file says before its first field: who made it, for which device. */
  readonly heading: string;
}

/** Where problems are said to be, and how much is read. */
export interface FuseFileOptions {
  readonly file?: string;
}

const startOfText = "\u0002";
const endOfText = "\u0003";
const mostCharacters = 2_000_000;
const mostFuses = 200_000;
/** Fields that say nothing about fuses: notes, vectors, security, tests, and what is reserved. */
const passedOver: ReadonlySet<string> = new Set([..."NVGXASRTPDUJHEBMOWYZI"]);

/**
 * Reads a fuse file (JEDEC Standard 3, JESD3-A to C; its description as printed in manuals of programmers). Fields end
 * with `*`: `QF` fuses, `QP` pins, `F` default state, `L` fuses from an address, `K` the same in hexadecimal, `C` sum of
 * the fuses taken as bytes, first fuse lowest; the sum behind the closing character is over everything from the opening
 * one to it. Both sums are checked; a closing sum of 0000 is none. Files without opening and closing character, as some
 * programs write them, are read too. The value is absent if there was an error.
 * Codes: `fuse-field`, `fuse-range`, `fuse-count`, `fuse-sum`, `file-sum`, `fuse-large`. O(characters + fuses).
 */
export function parseFuseFile(text: string, options: FuseFileOptions = {}): Parsed<FuseFile> {
  const problems = createProblemList(options.file);
  if (text.length > mostCharacters) {
    problems.error("fuse-large", `The file has more than ${mostCharacters} characters.`, {});
    return { problems: problems.all() };
  }
  const start = text.indexOf(startOfText);
  const from = start < 0 ? 0 : start + 1;
  const end = text.indexOf(endOfText, from);
  const body = text.slice(from, end < 0 ? undefined : end);
  const reader = new FieldReader(problems, body, lineAt(text, from));
  const value = reader.read();
  if (start >= 0 && end >= 0) {
    const stated = /^[0-9A-Fa-f]{4}/.exec(text.slice(end + 1))?.[0];
    let sum = 0;
    for (let i = start; i <= end; i += 1) sum = (sum + (text.charCodeAt(i) & 0xff)) & 0xffff;
    if (stated !== undefined && stated !== "0000" && Number.parseInt(stated, 16) !== sum)
      // Editors change line ends, which changes this sum and no fuse: the fuses have a sum of their own.
      problems.warning(
        "file-sum",
        `The file's sum is ${hex(sum)}, and it states ${stated.toUpperCase()}.`,
        { line: lineAt(text, end) },
        "If the sum of the fuses is right, line ends were changed on the way; else copy the file again.",
      );
  }
  return problems.hasErrors() || value === undefined
    ? { problems: problems.all() }
    : { value, problems: problems.all() };
}

/** Sum of fuses taken as bytes, the first fuse lowest, modulo 65536: the `C` field. */
export function fuseSum(fuses: Uint8Array): number {
  let sum = 0;
  for (let i = 0; i < fuses.length; i += 1) sum += (fuses[i] ?? 0) << (i % 8);
  return sum & 0xffff;
}

class FieldReader {
  private readonly problems: ReturnType<typeof createProblemList>;
  private readonly body: string;
  private line: number;
  private fuses: Uint8Array | undefined;
  private given: Uint8Array = new Uint8Array(0);
  private pins: number | undefined;
  private fallback: number | undefined;
  private stated: { readonly sum: number; readonly line: number } | undefined;

  constructor(problems: ReturnType<typeof createProblemList>, body: string, line: number) {
    this.problems = problems;
    this.body = body;
    this.line = line;
  }

  read(): FuseFile | undefined {
    // Whatever stands before the first `*` is the heading.
    const [heading = "", ...fields] = this.body.split("*");
    this.line += countLines(heading);
    for (const field of fields) {
      const shown = field.trimStart();
      const line = this.line + countLines(field.slice(0, field.length - shown.length));
      this.line += countLines(field);
      if (shown !== "") this.field(shown, line);
    }
    const { fuses } = this;
    if (fuses === undefined) {
      this.problems.error(
        "fuse-count",
        "The file does not say how many fuses there are.",
        {},
        "It needs a field as QF2048*.",
      );
      return undefined;
    }
    this.complete(fuses);
    return {
      fuses,
      ...(this.pins === undefined ? {} : { pins: this.pins }),
      heading: heading.trim().slice(0, 500),
    };
  }

  private complete(fuses: Uint8Array): void {
    const missing = this.given.indexOf(0);
    if (missing >= 0 && this.fallback === undefined) {
      this.problems.error(
        "fuse-count",
        `Fuse ${missing} is not given, and there is no default.`,
        {},
        "The file seems to break off; copy it again.",
      );
      return;
    }
    for (let i = 0; i < fuses.length; i += 1) if (this.given[i] === 0) fuses[i] = this.fallback ?? 0;
    const sum = fuseSum(fuses);
    // After another error the sum tells nothing new.
    if (this.stated === undefined || this.stated.sum === sum || this.problems.hasErrors()) return;
    this.problems.error(
      "fuse-sum",
      `The fuses have the sum ${hex(sum)}, and the file states ${hex(this.stated.sum)}.`,
      { line: this.stated.line, field: "C" },
      "A fuse was changed or lost; copy the file again.",
    );
  }

  private field(field: string, line: number): undefined {
    const letter = field[0] ?? "";
    const rest = field.slice(1);
    if (letter === "Q") return this.value(rest, line);
    if (letter === "F") return this.defaultState(rest, line);
    if (letter === "L" || letter === "K") return this.list(rest, letter === "L" ? 1 : 4, line);
    if (letter === "C") {
      const found = /^\s*([0-9A-Fa-f]{1,4})\s*$/.exec(rest);
      if (found?.[1] === undefined) return this.bad("C", "four hexadecimal digits", line);
      this.stated = { sum: Number.parseInt(found[1], 16), line };
      return undefined;
    }
    if (!passedOver.has(letter)) this.bad(letter, "a letter that begins a field", line);
    return undefined;
  }

  private value(rest: string, line: number): undefined {
    const found = /^([FPV])\s*(\d{1,9})\s*$/.exec(rest);
    if (found === null) return this.bad("Q", "QF, QP or QV and a number", line);
    const count = Number(found[2]);
    if (found[1] === "P") this.pins = count;
    if (found[1] !== "F") return undefined;
    if (count === 0 || count > mostFuses || this.fuses !== undefined) {
      this.problems.error(
        "fuse-range",
        `${count} fuses are stated; one number from 1 to ${mostFuses} is expected.`,
        { line, field: "QF" },
      );
      return undefined;
    }
    this.fuses = new Uint8Array(count);
    this.given = new Uint8Array(count);
    return undefined;
  }

  private defaultState(rest: string, line: number): undefined {
    const state = /^\s*([01])\s*$/.exec(rest)?.[1];
    if (state === undefined) return this.bad("F", "0 or 1", line);
    this.fallback = Number(state);
    return undefined;
  }

  /** Fuses from an address on, one or four to a digit. */
  private list(rest: string, bits: 1 | 4, line: number): undefined {
    const name = bits === 1 ? "L" : "K";
    const found = /^\s*(\d{1,9})\s+([\s\S]*)$/.exec(rest);
    if (found === null) return this.bad(name, "an address, a blank and fuses", line);
    if (this.fuses === undefined) return this.bad(name, "QF before it", line);
    let at = Number(found[1]);
    const digits = (found[2] ?? "").replace(/\s+/g, "");
    if (!(bits === 1 ? /^[01]*$/ : /^[0-9A-Fa-f]*$/).test(digits))
      return this.bad(name, bits === 1 ? "fuses as 0 and 1" : "fuses as hexadecimal digits", line);
    if (at + digits.length * bits > this.fuses.length + (bits - 1)) {
      this.problems.error(
        "fuse-range",
        `Fuses ${at} to ${at + digits.length * bits - 1} are given, and there are ${this.fuses.length}.`,
        { line, field: name },
        "The last address is one less than QF says.",
      );
      return undefined;
    }
    for (const digit of digits) {
      const state = Number.parseInt(digit, 16);
      for (let bit = bits - 1; bit >= 0; bit -= 1, at += 1) {
        if (at >= this.fuses.length) break;
        this.fuses[at] = (state >> bit) & 1;
        this.given[at] = 1;
      }
    }
    return undefined;
  }

  private bad(field: string, expected: string, line: number): undefined {
    this.problems.error(
      "fuse-field",
      `Field '${field.replace(/[^\x20-\x7e]/g, "?")}': ${expected} is expected.`,
      {
        line,
        field,
      },
    );
    return undefined;
  }
}

function lineAt(text: string, index: number): number {
  return 1 + countLines(text.slice(0, index));
}

function countLines(text: string): number {
  let lines = 0;
  for (let at = text.indexOf("\n"); at >= 0; at = text.indexOf("\n", at + 1)) lines += 1;
  return lines;
}

function hex(sum: number): string {
  return sum.toString(16).toUpperCase().padStart(4, "0");
}
