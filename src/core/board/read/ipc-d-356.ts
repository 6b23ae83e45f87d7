import type { Parsed } from "../../base/problem.js";
import { createDraftBuilder } from "./draft-builder.js";
import type { NetlistOptions } from "./kicad-netlist.js";
import { roundMillimetres } from "./millimetres.js";
import type { DraftBox, DraftPad, DraftPlace, NetlistDraft } from "./netlist-draft.js";
import { createProblemList, type ProblemList, quoted } from "./problem-list.js";
import { textLines } from "./text-lines.js";

// Columns of a test record, counted from 0, as IPC-D-356A lays them out: net 4-17, reference 21-26, pin 28-31,
// access 39-41, X 42-49, Y 50-57 of the standard's count from 1.
const columns = {
  net: [3, 17],
  ref: [20, 26],
  dash: 26,
  pin: [27, 31],
  access: [38, 41],
  x: [41, 49],
  y: [49, 57],
} as const;
const testRecord = /^3[0-9]7/;
const edgeRecord = /^[03]89/;
// Continuations, tracks and keep-outs say nothing about nets of pins.
const passedOver = /^(0[0-9]7|[03]78|[03]79|[03]88|[03]99|370|090)/;
const unitMillimetre: ReadonlyMap<string, number> = new Map([
  ["CUST 0", 0.00254],
  ["CUST 1", 0.001],
  ["CUST 2", 0.00254],
  ["CUST", 0.00254],
  ["SI", 0.001],
]);

interface Range {
  least: number;
  most: number;
}

interface Reading {
  readonly problems: ProblemList;
  readonly longNames: Map<string, string>;
  unit: number;
  readonly edgeX: Range;
  readonly edgeY: Range;
}

/**
 * Reads a bare-board test netlist in IPC-D-356 or IPC-D-356A: nets by pin, places of pins and, where it has them, edge
 * records. It knows no values, so its components are of unknown type unless another file of the board names them.
 * References are cut to six characters and pins to four, as the format does. The value is absent if no test record could
 * be read.
 *
 * Codes: `not-ipc-d-356`, `bad-record`, `bad-number`, `unknown-unit`, `no-end-record`, `input-too-large`, and those of
 * the builder.
 */
export function parseIpcD356(text: string, options: NetlistOptions = {}): Parsed<NetlistDraft> {
  const problems = createProblemList(options.file);
  const reading: Reading = {
    problems,
    longNames: new Map(),
    unit: 0.00254,
    edgeX: emptyRange(),
    edgeY: emptyRange(),
  };
  const builder = createDraftBuilder(problems);
  const parts = new Map<string, { side: DraftPlace["side"]; pads: Map<string, DraftPad> }>();
  let title: string | undefined;
  let records = 0;
  let hasEnd = false;
  let lastLine = 1;
  for (const { line, text: record } of textLines(text, problems, options.maximumCharacters)) {
    lastLine = line;
    if (hasEnd || record.trim() === "" || /^C(\s|$)/.test(record)) continue;
    if (record.startsWith("P")) title = readParameter(record, line, reading) ?? title;
    else if (record.startsWith("999")) hasEnd = true;
    else if (edgeRecord.test(record)) readEdge(record, reading);
    else if (testRecord.test(record)) {
      const found = readRecord(record, line, reading);
      if (found === undefined) continue;
      records += 1;
      const { ref, pin, net } = found;
      if (ref === undefined) continue;
      let part = parts.get(ref);
      if (part === undefined) {
        part = { side: found.side, pads: new Map() };
        parts.set(ref, part);
        builder.component({ ref, value: "", fields: new Map(), notFitted: false, line }, { line });
      }
      if (found.place !== undefined && !part.pads.has(pin)) part.pads.set(pin, { pin, ...found.place });
      if (net !== undefined)
        builder.pin(net, { ref, pin, line }, { line, column: columns.pin[0] + 1, field: `${ref}.${pin}` });
    } else if (!passedOver.test(record)) {
      problems.warning(
        "bad-record",
        `A line begins with ${quoted(record.slice(0, 3))}, which is no record of IPC-D-356; it was passed over.`,
        { line, column: 1, field: "operation code" },
      );
    }
  }
  if (records === 0) {
    problems.error(
      "not-ipc-d-356",
      "The text holds no test record of IPC-D-356 (lines that begin with 317, 327 or 367).",
      { line: 1, column: 1, field: "operation code" },
    );
    return { problems: problems.all() };
  }
  if (!hasEnd)
    problems.warning(
      "no-end-record",
      "The file does not end with the record 999; it may be cut short.",
      { line: lastLine, column: 1, field: "operation code" },
      "Export or copy it again.",
    );
  const places = new Map(
    [...parts].map(([ref, { side, pads }]): [string, DraftPlace] => [
      ref,
      { side, pads: [...pads.values()] },
    ]),
  );
  return {
    value: {
      ...(title === undefined ? {} : { title }),
      components: builder.components(),
      nets: builder.nets(),
      libraryParts: [],
      layout: { ...outlineOf(reading), places },
    },
    problems: problems.all(),
  };
}

function emptyRange(): Range {
  return { least: Number.POSITIVE_INFINITY, most: Number.NEGATIVE_INFINITY };
}

function outlineOf({ edgeX, edgeY }: Reading): { outline?: DraftBox } {
  const isBox = edgeX.most > edgeX.least && edgeY.most > edgeY.least;
  return isBox
    ? { outline: { left: edgeX.least, top: edgeY.least, right: edgeX.most, bottom: edgeY.most } }
    : {};
}

/** Takes units and long names in; returns the title if the record gives it. */
function readParameter(record: string, line: number, reading: Reading): string | undefined {
  const [, name = "", value = ""] = /^P\s+(\S+)\s*(.*)$/.exec(record) ?? [];
  if (name === "UNITS") {
    const unit = unitMillimetre.get(value.trim().replace(/\s+/g, " ").toUpperCase());
    if (unit === undefined)
      reading.problems.error(
        "unknown-unit",
        `${quoted(value.trim())} is no unit of IPC-D-356; CUST 0, CUST 1, CUST 2 or SI was expected. Tenths of a mil were taken.`,
        { line, column: 1, field: "UNITS" },
      );
    else reading.unit = unit;
  } else if (/^NNAME/.test(name)) reading.longNames.set(name, value.trim());
  else if ((name === "JOB" || name === "TITLE") && value.trim() !== "") return value.trim();
  return undefined;
}

interface TestRecord {
  /** Absent for a via. */
  readonly ref?: string;
  readonly pin: string;
  readonly net?: string;
  readonly side: DraftPlace["side"];
  readonly place?: { readonly xMillimetre: number; readonly yMillimetre: number };
}

function readRecord(record: string, line: number, reading: Reading): TestRecord | undefined {
  const { problems, longNames } = reading;
  const ref = record.slice(...columns.ref).trim();
  const access = record.slice(...columns.access);
  // Two digits are a layer: 00 is both sides, 01 the component side.
  const side = /^A(?!0[01])[0-9]{2}$/.test(access) ? "back" : "front";
  if (ref === "" || ref === "VIA") return { pin: "", side };
  const pin = record.slice(...columns.pin).trim();
  if (record.charAt(columns.dash) !== "-" || pin === "") {
    problems.error(
      "bad-record",
      `The record of ${quoted(ref)} has no '-' in column 27 with a pin behind it; it was left out.`,
      { line, column: columns.dash + 1, field: `${ref}.pin` },
    );
    return undefined;
  }
  const named = record.slice(...columns.net).trim();
  const net = longNames.get(named) ?? named;
  const place = readPlace(record, line, `${ref}.${pin}`, reading);
  return {
    ref,
    pin,
    ...(net === "" || net === "N/C" ? {} : { net }),
    side,
    ...(place === undefined ? {} : { place }),
  };
}

function readPlace(
  record: string,
  line: number,
  field: string,
  { problems, unit }: Reading,
): TestRecord["place"] {
  const found = [columns.x, columns.y].map(([from, to], i) => {
    const text = record.slice(from, to);
    if (text.trim() === "") return undefined;
    const digits = text.slice(1).replace(/\s+/g, "");
    if (text.startsWith(i === 0 ? "X" : "Y") && /^[+-]?[0-9]{1,6}$/.test(digits))
      return Number(digits) * unit;
    problems.error(
      "bad-number",
      `${quoted(text)} is no coordinate; ${i === 0 ? "X" : "Y"} with a sign and six digits was expected.`,
      { line, column: from + 1, field: `${field}.${i === 0 ? "x" : "y"}` },
    );
    return undefined;
  });
  const [x, y] = found;
  // The format counts upwards, boards are seen downwards.
  return x === undefined || y === undefined
    ? undefined
    : { xMillimetre: roundMillimetres(x), yMillimetre: roundMillimetres(-y) };
}

/**
 * Edge records hold runs of `X+000000Y+000000` in which a letter that is left out keeps its last value; for the
 * rectangle round them each letter counts by itself.
 */
function readEdge(record: string, reading: Reading): void {
  for (const [, letter, digits = ""] of record.slice(columns.ref[0]).matchAll(/([XY])([+-]?[0-9]{1,6})/g)) {
    const value = Number(digits) * reading.unit;
    const place = roundMillimetres(letter === "X" ? value : -value);
    const range = letter === "X" ? reading.edgeX : reading.edgeY;
    range.least = Math.min(range.least, place);
    range.most = Math.max(range.most, place);
  }
}
