import { hex } from "../../base/hex.js";
import type { WayPoint } from "../map/address-way.js";
import type { AddressRange, MemoryArray } from "../map/memory-map.js";
import { cellsWhere, spoiledIn } from "./chip-causes.js";
import type { Cause, NamedPart } from "./explanation.js";
import type { Tally } from "./tally.js";

/** Causes that all chips of an array share: strobes, write, select, data buffer, refresh. */
export function sharedCauses(tally: Tally): Cause[] {
  return [...controlCauses(tally), ...bufferCauses(tally), ...refreshCauses(tally)];
}

function allBits({ array }: Tally): number[] {
  return array.bits.map(({ bit }) => bit);
}

function controlCauses(tally: Tally): Cause[] {
  const { array } = tally;
  const spoiled = spoiledIn(tally, allBits(tally));
  const common = { explained: tally.cells, spoiled };
  const words = tally.isReadConstant ? ", and every read gave the same word" : "";
  const causes = array.controls.map(({ role, net, way }): Cause => {
    const parts = way.map((point) => makerPart(point, net));
    if (role === "write") {
      return {
        kind: "write",
        title: `Nothing is written: the write line ${net} does not work`,
        parts,
        ...common,
        values: tally.isReadConstant ? -2 : 0.5,
      };
    }
    return {
      kind: role === "row strobe" ? "row-strobe" : "column-strobe",
      title: `The ${role} ${net} does not reach the memory${words}`,
      parts,
      ...common,
      values: tally.isReadConstant ? 1.5 : -1.5,
    };
  });
  return causes;
}

function makerPart({ part, pin, role }: WayPoint, net: string): NamedPart {
  return role === "resistor"
    ? { part, pins: [], failureMode: "open", weight: 2, why: `in series with ${net}` }
    : {
        part,
        pins: pin === undefined ? [] : [pin],
        failureMode: "output-stuck-high",
        weight: 5,
        why: `makes ${net}; what decides about it may be at fault too`,
      };
}

function bufferCauses(tally: Tally): Cause[] {
  const { array } = tally;
  const byPart = new Map<string, { pins: string[]; bits: number[] }>();
  for (const { bit, buffers } of array.bits) {
    for (const { part, pin } of buffers) {
      const entry = byPart.get(part) ?? { pins: [], bits: [] };
      if (pin !== undefined) entry.pins.push(pin);
      entry.bits.push(bit);
      byPart.set(part, entry);
    }
  }
  return [...byPart].flatMap(([part, { pins, bits }]): Cause[] => {
    const failed = bits.filter((bit) => (tally.cellsOfBit[bit] ?? 0) > 0);
    if (failed.length < 2) return [];
    return [
      {
        kind: "data-buffer",
        title: `${part}, which passes the data to the processor, is dead or not enabled`,
        parts: [
          { part, pins, failureMode: "no-output", weight: 5, why: `passes data bits ${bits.join(", ")}` },
        ],
        explained: bits.reduce((sum, bit) => sum + (tally.cellsOfBit[bit] ?? 0), 0),
        spoiled: spoiledIn(tally, bits),
        values: tally.isReadConstant ? 1 : -1,
      },
    ];
  });
}

/** Cells that are not refreshed lose their values in their own way, so whole words seldom turn over. */
function decayValues(tally: Tally): number {
  if (tally.array.bits.length < 2) return 0;
  return tally.invertedShare > 0.9 || tally.isReadConstant ? -2 : 1;
}

function refreshCauses(tally: Tally): Cause[] {
  const { array } = tally;
  const { refreshRows } = array;
  if (refreshRows === undefined) return [];
  const bits = allBits(tally);
  const strobe = array.controls.find(({ role }) => role === "row strobe");
  const parts = strobe?.way.map((point) => makerPart(point, strobe.net)) ?? [];
  const causes: Cause[] = [
    {
      kind: "refresh-none",
      title: "The memory is not refreshed at all: it forgets within seconds",
      parts,
      explained: tally.cells,
      spoiled: spoiledIn(tally, bits),
      values: decayValues(tally),
    },
  ];
  for (const { net, way } of array.lines) {
    const row = way.row?.bit;
    if (row === undefined) continue;
    const half = better(tally, row, bits);
    if (half.explained === 0) continue;
    const multiplexers = [...way.shared, ...(way.row?.before ?? [])].filter(
      ({ role }) => role === "multiplexer",
    );
    causes.push({
      kind: "refresh-rows",
      title: `Refresh does not reach the rows with ${net} ${half.value === 1 ? "high" : "low"}`,
      parts: multiplexers.map(({ part, pin }) => ({
        part,
        pins: pin === undefined ? [] : [pin],
        failureMode: "input-open",
        weight: 3,
        why: `passes the refresh row on to ${net}`,
      })),
      explained: half.explained,
      spoiled: half.spoiled,
      values: decayValues(tally),
    });
  }
  return [...causes, ...wrongKind(tally, array, refreshRows)];
}

/** Chips that want twice as many rows refreshed as the board does: half of them fades. */
function wrongKind(tally: Tally, { lines, bits }: MemoryArray, refreshRows: number): Cause[] {
  if (2 ** lines.length !== refreshRows * 2) return [];
  const top = lines.at(-1);
  const row = top?.way.row?.bit;
  if (top === undefined || row === undefined) return [];
  return [...new Set(bits.map(({ part }) => part))].flatMap((part): Cause[] => {
    const own = bits.filter((data) => data.part === part).map(({ bit }) => bit);
    const half = better(tally, row, own);
    if (half.explained === 0) return [];
    return [
      {
        kind: "chip-refresh",
        title: `${part} wants ${refreshRows * 2} rows refreshed and gets ${refreshRows}: it forgets the rows with ${top.net} ${half.value === 1 ? "high" : "low"}`,
        parts: [
          {
            part,
            pins: [],
            failureMode: "wrong-part",
            weight: 5,
            why: `must be of the kind with ${refreshRows} rows here`,
          },
        ],
        explained: half.explained,
        spoiled: half.spoiled,
        values: 0,
      },
    ];
  });
}

function better(
  tally: Tally,
  line: number,
  bits: readonly number[],
): { value: 0 | 1; explained: number; spoiled: number } {
  const half = (value: 0 | 1): { value: 0 | 1; explained: number; spoiled: number } => ({
    value,
    explained: cellsWhere(tally, bits, line, value),
    spoiled: Math.round(
      (spoiledIn(tally, bits) * (tally.testedAt[line * 2 + value] ?? 0)) / Math.max(1, tally.tested),
    ),
  });
  const low = half(0);
  const high = half(1);
  return high.explained >= low.explained ? high : low;
}

/** Tested ranges as text, for assumptions. */
export function rangeText(ranges: readonly AddressRange[]): string {
  return ranges.map(({ from, to }) => `${hex(from)}-${hex(to)}`).join(", ");
}
