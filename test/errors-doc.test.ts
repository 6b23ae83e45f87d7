import { describe, expect, it } from "vitest";
import { errorCatalogue } from "../src/core/base/errors.js";
import { readRepositoryFile } from "./support/source-files.js";

interface Row {
  readonly code: string;
  readonly template: string;
  readonly httpStatus: number;
  readonly exitCode: number;
}

/** Rows of the page's catalogue table; a row begins with a code in back quotes. */
function readRows(page: string): Row[] {
  const rows: Row[] = [];
  for (const line of page.split("\n")) {
    const match = /^\| `([a-z-]+)` \| `(.+)` \| (\d+) \| (\d+) \| \S.* \|$/.exec(line);
    if (match === null) continue;
    const [, code = "", template = "", httpStatus, exitCode] = match;
    rows.push({ code, template, httpStatus: Number(httpStatus), exitCode: Number(exitCode) });
  }
  return rows;
}

const page = readRepositoryFile("docs/guide/errors.md");
const documented = readRows(page);
const catalogue: Row[] = Object.entries(errorCatalogue).map(([code, entry]) => ({ code, ...entry }));

describe("the page of errors", () => {
  it("lists every error of the catalogue, in its order, with message, status and exit code", () => {
    expect(documented).toEqual(catalogue);
  });

  it("explains every exit code that an error can have", () => {
    const explained = [...page.matchAll(/^\| (\d) \| \S.* \|$/gm)].map((match) => Number(match[1]));
    expect(catalogue.map((entry) => entry.exitCode).filter((code) => !explained.includes(code))).toEqual([]);
  });

  it("is read so that a missing row or cell shows", () => {
    const [first] = page.split("\n").filter((line) => line.startsWith("| `usage` "));
    expect(readRows(first ?? "")).toHaveLength(1);
    expect(readRows((first ?? "").replace(/\| [^|]+ \|$/, "|"))).toHaveLength(0);
  });
});
