import type { WayPoint } from "../map/address-way.js";
import type { AddressLine, DataBit, MemoryArray } from "../map/memory-map.js";
import type { PictureFault } from "./picture-fault.js";

/** A failure that can be chosen, with what is at fault then. */
export interface ListedPictureFault {
  readonly group: "chip" | "row or column" | "address" | "data" | "write and refresh";
  /** What is wrong, a few words. */
  readonly title: string;
  /** Parts to look at, the likeliest first. */
  readonly parts: readonly string[];
  readonly fault: PictureFault;
  /** For a row or column: how many there are; the fault names number 0. */
  readonly numbers?: number;
}

const levels = [0, 1] as const;
const levelWords = { 0: "low", 1: "high" } as const;

/** Every failure of a picture memory whose picture can be worked out. */
export function pictureFaults(array: MemoryArray): ListedPictureFault[] {
  return [
    ...chipFaults(array),
    ...cellFaults(array),
    ...array.lines.flatMap((line) => addressFaults(array, line)),
    ...joinedFaults(array),
    ...swappedFaults(array),
    ...keptFaults(array),
  ];
}

function chipFaults({ bits }: MemoryArray): ListedPictureFault[] {
  const single = bits.flatMap((data) =>
    levels.map(
      (level): ListedPictureFault => ({
        group: "chip",
        title: `${data.part}: data bit ${data.bit} always ${levelWords[level]}`,
        parts: partsOfBit(data),
        fault: { kind: "bits-stuck", bits: [data.bit], level },
      }),
    ),
  );
  const whole = chipsOf(bits).flatMap(([part, own]) =>
    own.length < 2
      ? []
      : levels.map(
          (level): ListedPictureFault => ({
            group: "chip",
            title: `${part} dead: data bits ${own.join(", ")} always ${levelWords[level]}`,
            parts: [part],
            fault: { kind: "bits-stuck", bits: own, level },
          }),
        ),
  );
  return [...single, ...whole];
}

function cellFaults({ bits, lines, refreshRows }: MemoryArray): ListedPictureFault[] {
  if (refreshRows === undefined) return [];
  const numbers = 2 ** lines.length;
  return chipsOf(bits).flatMap(([part, own]) =>
    (["row", "column"] as const).flatMap((axis) =>
      levels.map(
        (level): ListedPictureFault => ({
          group: "row or column",
          title: `${part}: one ${axis} always ${levelWords[level]}`,
          parts: [part],
          fault: { kind: "cells", axis, number: 0, bits: own, level },
          numbers,
        }),
      ),
    ),
  );
}

function addressFaults(array: MemoryArray, line: AddressLine): ListedPictureFault[] {
  const { net, way } = line;
  const halves = [way.row, way.column].flatMap((half) => (half === undefined ? [] : [half]));
  const made: ListedPictureFault[] = [];
  const add = (title: string, parts: readonly string[], fault: Omit<AddressFault, "kind">): void => {
    made.push({ group: "address", title, parts, fault: { kind: "address-line", ...fault } });
  };
  for (const level of levels)
    add(`${net} always ${levelWords[level]} (${names(halves)})`, partsOfWay(way.shared), {
      lines: halves.map(({ bit }) => bit),
      level,
      side: "both",
    });
  for (const { bit, before } of halves) {
    const path = halves.length > 1 ? before : way.shared;
    const fork = path.findLastIndex(({ role }) => role === "multiplexer");
    const common = path.slice(0, fork + 1);
    const own = path.slice(fork + 1);
    const chooser = fork < 0 ? [] : [path[fork]?.part ?? ""];
    for (const level of levels) {
      const word = levelWords[level];
      if (halves.length > 1)
        add(
          `A${bit} always ${word} before the multiplexer of ${net}`,
          [...partsOfWay(common), ...partsOfWay(way.shared)],
          { lines: [bit], level, side: "both" },
        );
      add(`A${bit} always ${word} on the processor's side only`, [...partsOfWay(own), ...chooser], {
        lines: [bit],
        level,
        side: "processor",
      });
      add(`A${bit} always ${word} on the picture counters' side only`, chooser, {
        lines: [bit],
        level,
        side: "picture",
      });
    }
  }
  for (const [part, own] of chipsOf(array.bits))
    for (const level of chipsOf(array.bits).length < 2 ? [] : levels)
      add(`${part} alone sees ${net} always ${levelWords[level]}`, [part], {
        lines: halves.map(({ bit }) => bit),
        level,
        side: "both",
        bits: [...own],
      });
  return made;
}

type AddressFault = Extract<PictureFault, { kind: "address-line" }>;

function joinedFaults({ lines }: MemoryArray): ListedPictureFault[] {
  return lines.flatMap((a, i) =>
    lines.slice(0, i).flatMap((b) =>
      levels.map((winner): ListedPictureFault => {
        const pairs = [
          [b.way.row, a.way.row],
          [b.way.column, a.way.column],
        ].flatMap(([x, y]): [number, number][] =>
          x === undefined || y === undefined ? [] : [[x.bit, y.bit]],
        );
        return {
          group: "address",
          title: `${b.net} and ${a.net} joined, ${levelWords[winner]} wins`,
          parts: [...new Set([...partsOfWay(b.way.shared), ...partsOfWay(a.way.shared)])],
          fault: { kind: "address-lines-joined", pairs, winner },
        };
      }),
    ),
  );
}

function swappedFaults({ bits }: MemoryArray): ListedPictureFault[] {
  return bits.flatMap((a, i) =>
    bits.slice(0, i).map(
      (b): ListedPictureFault => ({
        group: "data",
        title: `Data bits ${b.bit} and ${a.bit} swapped on the way to the picture`,
        parts: [...new Set([b.part, a.part])],
        fault: { kind: "data-bits-swapped", first: b.bit, second: a.bit },
      }),
    ),
  );
}

function keptFaults({ bits, controls, refreshRows }: MemoryArray): ListedPictureFault[] {
  const write = controls.find(({ role }) => role === "write");
  const faults: ListedPictureFault[] = [
    {
      group: "write and refresh",
      title: "Nothing is written",
      parts: partsOfWay(write?.way ?? []),
      fault: { kind: "not-written" },
    },
  ];
  if (refreshRows === undefined) return faults;
  const strobe = controls.find(({ role }) => role === "row strobe");
  for (const [part, own] of chipsOf(bits))
    faults.push({
      group: "write and refresh",
      title: `${part} forgets before it is shown`,
      parts: [part],
      fault: { kind: "forgets", bits: [...own] },
    });
  return [
    ...faults,
    {
      group: "write and refresh",
      title: "All chips forget before they are shown",
      parts: partsOfWay(strobe?.way ?? []),
      fault: { kind: "forgets", bits: bits.map(({ bit }) => bit) },
    },
  ];
}

/** Chips in order of their lowest bit, with their data bits. */
function chipsOf(bits: readonly DataBit[]): [string, number[]][] {
  const chips = new Map<string, number[]>();
  for (const { part, bit } of bits) chips.set(part, [...(chips.get(part) ?? []), bit]);
  return [...chips];
}

function partsOfBit({ part, buffers }: DataBit): string[] {
  return [part, ...buffers.map((buffer) => buffer.part)];
}

/** Chips on a way first, then its resistors. */
function partsOfWay(way: readonly WayPoint[]): string[] {
  const chips = way.filter(({ role }) => role !== "resistor");
  return [...chips, ...way.filter(({ role }) => role === "resistor")].map(({ part }) => part);
}

function names(halves: readonly { readonly bit: number }[]): string {
  return halves.map(({ bit }) => `A${bit}`).join(" and ");
}
