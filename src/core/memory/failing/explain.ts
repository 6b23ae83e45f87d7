import type { Parsed, Problem } from "../../base/problem.js";
import { type AddressRange, contains, foldAddress, isWithin, type MemoryArray } from "../map/memory-map.js";
import { chipCauses } from "./chip-causes.js";
import { type Cause, type Explanation, rankCauses } from "./explanation.js";
import type { FailingRead } from "./failure-list.js";
import { lineCauses } from "./line-causes.js";
import { rangeText, sharedCauses } from "./shared-causes.js";
import { isTested, type Tally, tallyReads } from "./tally.js";

/** What failing reads say about the parts of a board. */
export interface MemoryExplanation {
  /** Reads given, distinct addresses and cells (pairs of address and bit) that failed. */
  readonly reads: number;
  readonly addresses: number;
  readonly cells: number;
  /** The best first. */
  readonly explanations: readonly Explanation[];
  /** What was taken for granted, one sentence each. */
  readonly assumptions: readonly string[];
}

/** What is known besides the reads. */
export interface ExplainOptions {
  /** Addresses that were tested; all memory of the board if absent. */
  readonly tested?: readonly AddressRange[];
}

/**
 * Ranks what can explain failing reads on a board with these arrays. The value is absent if a read cannot be: codes
 * `failure-address`, `failure-value`, `failure-untested`.
 */
export function explainFailures(
  arrays: readonly MemoryArray[],
  given: readonly FailingRead[],
  options: ExplainOptions = {},
): Parsed<MemoryExplanation> {
  const { tested } = options;
  const problem = firstImpossible(arrays, given, tested);
  if (problem !== undefined) return { problems: [problem] };
  const hasCopies = arrays.some(({ copies }) => copies !== undefined);
  const reads = hasCopies
    ? given.map((read) => {
        const address = foldAddress(arrays, read.address);
        return address === read.address ? read : { ...read, address };
      })
    : given;
  const tallies = arrays.flatMap((array): { tally: Tally; own: readonly FailingRead[] }[] => {
    const tally = tallyReads(array, reads, tested);
    return tally === undefined
      ? []
      : [{ tally, own: reads.filter(({ address }) => contains(array, address)) }];
  });
  const cells = tallies.reduce((sum, { tally }) => sum + tally.cells, 0);
  const causes = tallies.flatMap(({ tally, own }) => [
    ...chipCauses(tally, tested),
    ...lineCauses(tally, own),
    ...sharedCauses(tally),
  ]);
  causes.push(...busCauses(tallies.map(({ tally }) => tally)));
  return {
    value: {
      reads: reads.length,
      addresses: tallies.reduce((sum, { tally }) => sum + tally.addresses.length, 0),
      cells,
      explanations: rankCauses(causes, cells),
      assumptions: assumptionsOf(
        tallies.map(({ tally }) => tally.array),
        arrays,
        tested,
      ),
    },
    problems: [],
  };
}

/** A data line of the processor's bus: the same bit fails in every array that was tested and has failures. */
function busCauses(tallies: readonly Tally[]): Cause[] {
  if (tallies.length < 2) return [];
  const bits = new Set(tallies.flatMap(({ array }) => array.bits.map(({ bit }) => bit)));
  return [...bits].flatMap((bit): Cause[] => {
    const explained = tallies.reduce((sum, { cellsOfBit }) => sum + (cellsOfBit[bit] ?? 0), 0);
    if (tallies.some(({ cellsOfBit }) => (cellsOfBit[bit] ?? 0) === 0)) return [];
    const holders = tallies.flatMap(({ array }) => array.bits.filter((data) => data.bit === bit));
    return [
      {
        kind: "data-line",
        title: `Data line ${bit} of the bus is at fault: it fails in every memory`,
        parts: holders.map(({ part, pin }) => ({
          part,
          pins: [pin],
          failureMode: "input-drags",
          weight: 1,
          why: `one of the parts on data line ${bit}; any of them may hold it`,
        })),
        explained,
        spoiled: tallies.reduce((sum, { tested }) => sum + tested, 0),
        // That two chips of different memories lose the same bit by accident is unlikely.
        values: 3,
      },
    ];
  });
}

function firstImpossible(
  arrays: readonly MemoryArray[],
  reads: readonly FailingRead[],
  tested: readonly AddressRange[] | undefined,
): Problem | undefined {
  const width = Math.max(...arrays.flatMap(({ bits }) => bits.map(({ bit }) => bit))) + 1;
  const all = arrays.flatMap(({ ranges, copies }) => copies ?? ranges);
  const flaw = (code: string, message: string): Problem => ({ code, severity: "error", message, where: {} });
  for (const { address, expected, read } of reads) {
    const name = address.toString(16).toUpperCase().padStart(4, "0");
    if (!isWithin(arrays, address))
      return flaw(
        "failure-address",
        `Address ${name} is no RAM of this board; its RAM is at ${rangeText(all)}.`,
      );
    if (Math.max(expected, read) >= 2 ** width)
      return flaw(
        "failure-value",
        `Address ${name} holds ${width} bits, which ${Math.max(expected, read).toString(16).toUpperCase()} does not fit.`,
      );
    if (!isTested(tested, address))
      return flaw(
        "failure-untested",
        `Address ${name} failed but lies outside what was tested, ${rangeText(tested ?? [])}.`,
      );
  }
  return undefined;
}

function assumptionsOf(
  seen: readonly MemoryArray[],
  all: readonly MemoryArray[],
  tested: readonly AddressRange[] | undefined,
): string[] {
  const assumptions: string[] = [];
  if (tested === undefined)
    assumptions.push(
      `All memory was tested (${rangeText(all.flatMap(({ ranges }) => ranges))}), and what is not in the list was good.`,
    );
  if (seen.some(({ lines }) => lines.some(({ way }) => way.isRowGuessed)))
    assumptions.push("The address lines that pass while the multiplexer's select line is low are the row.");
  assumptions.push("Shares rank the explanations by common practice; they are no probabilities.");
  return assumptions;
}
