import type { FailureModeId } from "../../board/failure-mode.js";
import type { AddressRange, DataBit } from "../map/memory-map.js";
import { columnOf, rowOf } from "../map/memory-map.js";
import type { Cause, NamedPart } from "./explanation.js";
import { addressBits, isTested, type Tally } from "./tally.js";

/** Causes inside or at one memory chip: its bit, several of its bits, a row, a column, a few cells, two chips at once. */
export function chipCauses(tally: Tally, tested: readonly AddressRange[] | undefined): Cause[] {
  const { array } = tally;
  const failing = array.bits.filter(({ bit }) => (tally.cellsOfBit[bit] ?? 0) > 0);
  const causes = failing.flatMap((data) => [...bitCauses(tally, data), ...cellCauses(tally, data)]);
  for (const part of new Set(array.bits.map((data) => data.part))) {
    const bits = array.bits.filter((data) => data.part === part);
    if (bits.length > 1) causes.push(...chipWide(tally, part, bits));
  }
  if (array.refreshRows !== undefined) {
    const { rows, columns } = countLines(tally, tested);
    for (const data of failing)
      causes.push(
        ...lineCauses(tally, data, "chip-row", rows),
        ...lineCauses(tally, data, "chip-column", columns),
      );
  }
  return [...causes, ...twoChips(tally)];
}

/** What a bit did when it was wrong, in words: `always low`, `always high`, or nothing. */
function stuckWords({ readAs }: Tally, bit: number): string {
  const low = readAs[bit * 2] ?? 0;
  const high = readAs[bit * 2 + 1] ?? 0;
  return high === 0 ? ", read low wherever it failed" : low === 0 ? ", read high wherever it failed" : "";
}

/** The level that a bit gave wherever it was wrong, if it was one only. */
function levelOf({ readAs }: Tally, bit: number): { level?: 0 | 1 } {
  const low = readAs[bit * 2] ?? 0;
  const high = readAs[bit * 2 + 1] ?? 0;
  return high === 0 ? { level: 0 } : low === 0 ? { level: 1 } : {};
}

function memoryMode(tally: Tally, mode: FailureModeId): FailureModeId {
  return (tally.warmShare ?? 0) > 0.9 ? "slow" : mode;
}

function warmWords({ warmShare }: Tally): string {
  return (warmShare ?? 0) > 0.9 ? " when warm" : "";
}

function bitCauses(tally: Tally, data: DataBit): Cause[] {
  const explained = tally.cellsOfBit[data.bit] ?? 0;
  const isOneSided = stuckWords(tally, data.bit) !== "";
  // A lost bit mostly gives one level; what gives now this, now that after a pattern is rather another cell's word.
  const values = tally.expectation.kind === "pattern" && !isOneSided ? -1 : 0;
  const about = { dataBits: [data.bit], ...levelOf(tally, data.bit) };
  const common = { explained, spoiled: spoiledIn(tally, [data.bit]), values, about };
  const chip: NamedPart = {
    part: data.part,
    pins: [data.pin],
    failureMode: memoryMode(tally, "data-bit-lost"),
    weight: 10,
    why: `holds data bit ${data.bit}`,
  };
  const causes: Cause[] = [
    {
      kind: "chip-bit",
      title: `Data bit ${data.bit} is lost in ${data.part}${warmWords(tally)}${stuckWords(tally, data.bit)}`,
      parts: [chip],
      ...common,
    },
  ];
  const [buffer] = data.buffers;
  if (buffer !== undefined)
    causes.push({
      kind: "data-line",
      title: `Data bit ${data.bit} is lost between ${data.part} and the processor, at ${buffer.part}`,
      parts: [
        {
          part: buffer.part,
          pins: buffer.pin === undefined ? [] : [buffer.pin],
          failureMode: memoryMode(tally, "output-open"),
          weight: 3,
          why: `passes data bit ${data.bit} on`,
        },
        { ...chip, failureMode: "track-open", weight: 1, why: `its track ${data.net}` },
      ],
      ...common,
    });
  return causes;
}

function chipWide(tally: Tally, part: string, bits: readonly DataBit[]): Cause[] {
  const explained = bits.reduce((sum, { bit }) => sum + (tally.cellsOfBit[bit] ?? 0), 0);
  const failed = bits.filter(({ bit }) => (tally.cellsOfBit[bit] ?? 0) > 0);
  if (failed.length < 2) return [];
  const spoiled = spoiledIn(
    tally,
    failed.map(({ bit }) => bit),
  );
  const names = failed.map(({ bit }) => bit).join(", ");
  const failureMode = memoryMode(tally, "no-output");
  return [
    {
      kind: "chip-bits",
      title: `${part} is dead or not selected${warmWords(tally)}: its data bits ${names} fail together`,
      parts: [
        {
          part,
          pins: failed.map(({ pin }) => pin),
          failureMode,
          weight: 10,
          why: `holds data bits ${names}`,
        },
      ],
      explained,
      spoiled,
      values: 0,
      about: { dataBits: failed.map(({ bit }) => bit) },
    },
  ];
}

function cellCauses(tally: Tally, data: DataBit): Cause[] {
  const explained = tally.cellsOfBit[data.bit] ?? 0;
  const where = explained === 1 ? "A single cell" : `${explained} cells`;
  const failureMode = memoryMode(tally, "data-bit-lost");
  const part: NamedPart = {
    part: data.part,
    pins: [],
    failureMode,
    weight: 10,
    why: `holds data bit ${data.bit}`,
  };
  const causes: Cause[] = [
    {
      kind: "chip-cells",
      title: `${where} of ${data.part} (data bit ${data.bit}) ${explained === 1 ? "is" : "are"} bad${warmWords(tally)}`,
      parts: [part],
      explained,
      spoiled: explained,
      values: explained > 64 ? -1 : 0,
    },
  ];
  const failing = addressesOf(tally, data.bit, 3);
  const [a, b] = failing;
  if (failing.length === 2 && a !== undefined && b !== undefined && isPowerOfTwo(a ^ b)) {
    const line = 31 - Math.clz32(a ^ b);
    causes.push({
      kind: "two-addresses",
      title: `Inside ${data.part} two addresses that differ in address line ${line} alone answer as one`,
      parts: [{ ...part, failureMode: "address-fault" }],
      explained,
      spoiled: explained,
      values: 0,
    });
  }
  return causes;
}

function addressesOf(tally: Tally, bit: number, limit: number): number[] {
  const found: number[] = [];
  for (let k = 0; k < tally.addresses.length && found.length < limit; k += 1)
    if (((tally.wrong[k] ?? 0) >> bit) & 1) found.push(tally.addresses[k] ?? 0);
  return found;
}

function isPowerOfTwo(value: number): boolean {
  return value !== 0 && (value & (value - 1)) === 0;
}

/** Failing and tested cells by row or column. */
interface LineCounts {
  /** [addresses] row or column of each failing address. */
  readonly of: Int32Array;
  /** Tested addresses by row or column. */
  readonly tested: Int32Array;
}

function countLines(
  tally: Tally,
  tested: readonly AddressRange[] | undefined,
): { rows: LineCounts; columns: LineCounts } {
  const { array, addresses } = tally;
  const size = 2 ** array.lines.length;
  const rows = { of: new Int32Array(addresses.length), tested: new Int32Array(size) };
  const columns = { of: new Int32Array(addresses.length), tested: new Int32Array(size) };
  for (let k = 0; k < addresses.length; k += 1) {
    rows.of[k] = rowOf(array, addresses[k] ?? 0);
    columns.of[k] = columnOf(array, addresses[k] ?? 0);
  }
  for (const { from, to } of array.ranges) {
    for (let address = from; address <= to; address += 1) {
      if (!isTested(tested, address)) continue;
      const row = rowOf(array, address);
      const column = columnOf(array, address);
      rows.tested[row] = (rows.tested[row] ?? 0) + 1;
      columns.tested[column] = (columns.tested[column] ?? 0) + 1;
    }
  }
  return { rows, columns };
}

/** The row or column of a chip that holds most of its failing cells, if it holds more than two. */
function lineCauses(
  tally: Tally,
  { bit, part }: DataBit,
  kind: "chip-row" | "chip-column",
  counts: LineCounts,
): Cause[] {
  const hits = new Int32Array(counts.tested.length);
  let best = 0;
  for (let k = 0; k < tally.addresses.length; k += 1) {
    if ((((tally.wrong[k] ?? 0) >> bit) & 1) === 0) continue;
    const line = counts.of[k] ?? 0;
    const count = (hits[line] ?? 0) + 1;
    hits[line] = count;
    if (count > (hits[best] ?? 0)) best = line;
  }
  const explained = hits[best] ?? 0;
  if (explained < 3) return [];
  const word = kind === "chip-row" ? "row" : "column";
  const failureMode = memoryMode(tally, "data-bit-lost");
  return [
    {
      kind,
      title: `One ${word} of ${part} is bad (data bit ${bit}, ${word} ${best})`,
      parts: [{ part, pins: [], failureMode, weight: 10, why: `holds data bit ${bit}` }],
      explained,
      spoiled: Math.round((counts.tested[best] ?? 0) * (tally.visible[bit] ?? 1)),
      values: 0,
      about: { dataBits: [bit], [word]: best, ...levelOf(tally, bit) },
    },
  ];
}

/** The two chips with most failing cells, as two faults at once. */
function twoChips(tally: Tally): Cause[] {
  const chips = [...new Set(tally.array.bits.map(({ part }) => part))].map((part) => {
    const bits = tally.array.bits.filter(
      (data) => data.part === part && (tally.cellsOfBit[data.bit] ?? 0) > 0,
    );
    return { part, bits, cells: bits.reduce((sum, { bit }) => sum + (tally.cellsOfBit[bit] ?? 0), 0) };
  });
  const [first, second] = chips.sort((a, b) => b.cells - a.cells);
  if (first === undefined || second === undefined || second.cells === 0) return [];
  const both = [first, second];
  const failureMode = memoryMode(tally, "data-bit-lost");
  return [
    {
      kind: "two-chips",
      title: `${first.part} and ${second.part} are both bad`,
      parts: both.map(({ part, bits }) => ({
        part,
        pins: [],
        failureMode,
        weight: 5,
        why: `holds data bit ${bits.map(({ bit }) => bit).join(", ")}`,
      })),
      explained: first.cells + second.cells,
      spoiled: both.reduce(
        (sum, { bits }) =>
          sum +
          spoiledIn(
            tally,
            bits.map(({ bit }) => bit),
          ),
        0,
      ),
      values: 0,
    },
  ];
}

/** Cells that show a fault of all cells of some bits. */
export function spoiledIn({ tested, visible }: Tally, bits: readonly number[]): number {
  return Math.round(bits.reduce((sum, bit) => sum + tested * (visible[bit] ?? 1), 0));
}

/** Failing cells of some bits at addresses where an address bit has a value. */
export function cellsWhere(tally: Tally, bits: readonly number[], line: number, value: 0 | 1): number {
  return bits.reduce((sum, bit) => sum + (tally.cellsAt[(bit * addressBits + line) * 2 + value] ?? 0), 0);
}
