import type { WayPoint } from "../map/address-way.js";
import type { AddressLine, MemoryArray } from "../map/memory-map.js";
import { aliasEvidence } from "./alias.js";
import type { Cause, NamedPart } from "./explanation.js";
import type { FailingRead } from "./failure-list.js";
import { better, joinedWays, mayExplain, restingWays, type Share, spoiledBy } from "./same-cells.js";
import type { Tally } from "./tally.js";

/**
 * Causes in the address lines. A line that stays at one level makes addresses that differ in it the same cells, and two
 * lines that are joined do so where they should differ.
 */
export function lineCauses(tally: Tally, reads: readonly FailingRead[]): Cause[] {
  const { array } = tally;
  const causes = array.lines.flatMap((line) => [
    ...restingLine(tally, reads, line),
    ...lineInputs(tally, reads, line),
  ]);
  return [...causes, ...joinedLines(tally, reads), ...someLine(tally, reads)];
}

/** Address bits that come over a line. */
function bitsOf({ way }: AddressLine): number[] {
  return [way.row, way.column].flatMap((half) => (half === undefined ? [] : [half.bit]));
}

/** Masks by which addresses differ that a line at rest makes the same. */
function flipsOf(bits: readonly number[]): number[] {
  const [a, b] = bits.map((bit) => 1 << bit);
  if (a === undefined) return [];
  return b === undefined ? [a] : [a, b, a | b];
}

function dataBitsOf({ bits }: MemoryArray): number[] {
  return bits.map(({ bit }) => bit);
}

/** The line as all chips have it, and the pin of each chip alone. */
function restingLine(tally: Tally, reads: readonly FailingRead[], line: AddressLine): Cause[] {
  const { array } = tally;
  const bits = bitsOf(line);
  const ways = restingWays(tally, bits).map((spoils) => spoiledBy(tally, spoils));
  const flips = flipsOf(bits);
  const all = dataBitsOf(array);
  const causes: Cause[] = [];
  const whole = better(ways.map((way) => way.of(all)));
  const parts = line.way.shared.flatMap((point) => partsOfPoint(point, line.net));
  if (whole.explained > 0 && parts.length > 0)
    causes.push({
      kind: "address-line",
      title: `Address line ${line.net} stays at one level: addresses that differ in ${lineNames(bits)} are the same cells`,
      parts,
      ...whole,
      values: aliasEvidence(tally, reads, flips, all),
      about: { addressLines: bits },
    });
  const chips = new Set(array.bits.map(({ part }) => part));
  for (const part of chips.size < 2 ? [] : chips) {
    const own = array.bits.filter((data) => data.part === part).map(({ bit }) => bit);
    const share = better(ways.map((way) => way.of(own)));
    if (share.explained > 0)
      causes.push({
        ...chipPin(part, line, share, aliasEvidence(tally, reads, flips, own)),
        about: { addressLines: bits, dataBits: own },
      });
  }
  return causes;
}

function chipPin(part: string, { net, pin }: AddressLine, share: Share, values: number): Cause {
  return {
    kind: "chip-address-pin",
    title: `${part} does not see ${net} at its pin ${pin}`,
    parts: [
      { part, pins: [], failureMode: "address-fault", weight: 3, why: `its address pin ${pin}` },
      { part, pins: [], failureMode: "track-open", weight: 1, why: `joint or socket at pin ${pin}` },
    ],
    ...share,
    values,
  };
}

/** One half of a multiplexed line, before the multiplexer. */
function lineInputs(tally: Tally, reads: readonly FailingRead[], line: AddressLine): Cause[] {
  if (line.way.column === undefined) return [];
  const all = dataBitsOf(tally.array);
  return [line.way.row, line.way.column].flatMap((half): Cause[] => {
    if (half === undefined) return [];
    const share = better(restingWays(tally, [half.bit]).map((spoils) => spoiledBy(tally, spoils).of(all)));
    if (share.explained === 0) return [];
    const multiplexer = line.way.shared.find(({ role }) => role === "multiplexer");
    const parts = half.before.flatMap((point) => partsOfPoint(point, `A${half.bit}`));
    if (multiplexer !== undefined)
      parts.push({
        part: multiplexer.part,
        pins: [],
        failureMode: "input-open",
        weight: 3,
        why: `its input for address line ${half.bit}`,
      });
    return [
      {
        kind: "address-input",
        title: `Address line ${half.bit} does not reach the multiplexer of ${line.net}: addresses that differ in it are the same cells`,
        parts,
        ...share,
        values: aliasEvidence(tally, reads, [1 << half.bit], all),
        about: { addressLines: [half.bit] },
      },
    ];
  });
}

function joinedLines(tally: Tally, reads: readonly FailingRead[]): Cause[] {
  const { array } = tally;
  const all = dataBitsOf(array);
  // In a march every bit of a word shows it.
  if (tally.expectation.kind === "march" && all.some((bit) => (tally.cellsOfBit[bit] ?? 0) === 0)) return [];
  return array.lines.flatMap((a, i) =>
    array.lines.slice(0, i).flatMap((b): Cause[] => {
      const pairs = halvesOf(a, b);
      const ways = joinedWays(tally, pairs);
      // A short is named only where it explains nearly everything: there are many pairs, and each explains something.
      if (!mayExplain(tally, ways)) return [];
      const share = better(ways.map((spoils) => spoiledBy(tally, spoils).of(all)));
      if (share.explained < tally.cells * 0.95) return [];
      const drivers = [...b.way.shared, ...a.way.shared].filter(({ role }) => role !== "resistor");
      return [
        {
          kind: "address-lines-short",
          title: `Address lines ${b.net} and ${a.net} are joined`,
          parts: drivers.map(({ part, pin }) => ({
            part,
            pins: pin === undefined ? [] : [pin],
            failureMode: "bridge",
            weight: 1,
            why: `drives ${b.net} or ${a.net}; look for a bridge from there to the chips`,
          })),
          ...share,
          values: aliasEvidence(
            tally,
            reads,
            pairs.flatMap(([x, y]) => [1 << x, 1 << y, (1 << x) | (1 << y)]),
            all,
          ),
        },
      ];
    }),
  );
}

function halvesOf(a: AddressLine, b: AddressLine): [number, number][] {
  return [
    [a.way.row, b.way.row],
    [a.way.column, b.way.column],
  ].flatMap(([x, y]): [number, number][] => (x === undefined || y === undefined ? [] : [[x.bit, y.bit]]));
}

/** All addresses fail and give the opposite: some line is at rest, but a test both up and down does not show which. */
function someLine(tally: Tally, reads: readonly FailingRead[]): Cause[] {
  const all = dataBitsOf(tally.array);
  const parts = driversOf(tally.array);
  if (parts.length === 0 || tally.expectation.kind !== "march") return [];
  if (tally.invertedShare < 0.9 || tally.isReadConstant) return [];
  const flips = tally.array.lines.flatMap((line) => flipsOf(bitsOf(line)));
  return [
    {
      kind: "address-line-some",
      title:
        "Some address line stays at one level; a test that goes both up and down does not show which one",
      parts,
      explained: tally.cells,
      spoiled: tally.tested * all.length,
      values: aliasEvidence(tally, reads, flips, all),
    },
  ];
}

/** The parts that drive the address lines, each once with all its pins. */
function driversOf({ lines }: MemoryArray): NamedPart[] {
  const parts = new Map<string, NamedPart>();
  for (const { way, net } of lines) {
    for (const point of way.shared.filter(({ role }) => role !== "resistor")) {
      for (const named of partsOfPoint(point, net)) {
        const pins = parts.get(named.part)?.pins ?? [];
        parts.set(named.part, {
          ...named,
          pins: [...pins, ...named.pins],
          why: "drives address lines of the memory",
        });
      }
    }
  }
  return [...parts.values()];
}

function partsOfPoint({ part, pin, role }: WayPoint, net: string): NamedPart[] {
  if (role === "resistor")
    return [{ part, pins: [], failureMode: "open", weight: 2, why: `in series with ${net}` }];
  return [
    {
      part,
      pins: pin === undefined ? [] : [pin],
      failureMode: "output-open",
      weight: role === "multiplexer" ? 5 : 2,
      why: `${role === "multiplexer" ? "multiplexer output" : "buffer"} for ${net}`,
    },
  ];
}

function lineNames(bits: readonly number[]): string {
  return bits.map((bit) => `A${bit}`).join(" or ");
}
