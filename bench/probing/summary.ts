import type { ProbingGame } from "./play.js";

/** Figures of one circuit. */
export interface CircuitSummary {
  readonly circuit: string;
  readonly nets: number;
  readonly cases: number;
  readonly meanSuspects: number;
  readonly largestSuspects: number;
  readonly meanEntropyBits: number;
  readonly meanHuffmanProbes: number;
  readonly meanPlannedProbes: number;
  readonly meanProbes: number;
  /** Mean probes over mean entropy. */
  readonly ratio: number;
  readonly plannedRatio: number;
  readonly huffmanRatio: number;
  readonly worstProbes: number;
  /** Cases above `worstAim`, and how many of them have suspects that no plan can tell apart within it. */
  readonly casesAboveAim: number;
  readonly unavoidableAboveAim: number;
  /** Share of the cases whose first plan is known to be the best. */
  readonly optimalShare: number;
  readonly greedyMeanProbes: number;
  readonly greedyRatio: number;
  readonly greedyWorstProbes: number;
  readonly stepMilliseconds: number;
  readonly stepMedianMilliseconds: number;
  readonly stepProcessorMilliseconds: number;
}

/** Figures over circuits, and whether the aims are met. */
export interface ProbingSummary {
  /** Processor and version of Node. */
  readonly machine: string;
  readonly seed: number;
  readonly cases: number;
  readonly circuits: readonly CircuitSummary[];
  /** Means over the circuits, c17 left out. */
  readonly meanRatio: number;
  readonly meanPlannedRatio: number;
  readonly meanHuffmanRatio: number;
  readonly meanGreedyRatio: number;
  readonly worstProbes: number;
  readonly casesAboveAim: number;
  readonly unavoidableAboveAim: number;
  readonly slowestStepMilliseconds: number;
  readonly aims: { readonly ratio: boolean; readonly worst: boolean; readonly time: boolean };
}

/** Largest mean ratio of probes to entropy that meets the aim, unless Huffman's bound lies so high that it cannot be met. */
export const ratioAim = 1.04;
/** Share above Huffman's bound that is allowed in that case. */
export const huffmanAim = 1.01;
/** Most probes in any case. */
export const worstAim = 10;
/** Mean milliseconds for a choice. */
export const stepAimMilliseconds = 5;

/** Sums up one circuit's games; `greedy` are the same cases played by the most even split alone, `unavoidableAboveAim` counts the cases above `worstAim` for which no plan stays within it. */
export function summariseCircuit(
  circuit: string,
  nets: number,
  games: readonly ProbingGame[],
  greedy: readonly ProbingGame[],
  unavoidableAboveAim: number,
): CircuitSummary {
  const mean = (list: readonly number[]): number =>
    list.length === 0 ? 0 : list.reduce((a, b) => a + b, 0) / list.length;
  const entropy = mean(games.map((game) => game.entropyBits));
  const huffman = mean(games.map((game) => game.huffmanProbes));
  const planned = mean(games.map((game) => game.plannedProbes));
  const probes = mean(games.map((game) => game.probes));
  const greedyProbes = mean(greedy.map((game) => game.probes));
  const elapsed = games.flatMap((game) => game.elapsedMilliseconds).sort((a, b) => a - b);
  return {
    circuit,
    nets,
    cases: games.length,
    meanSuspects: round(mean(games.map((game) => game.suspects)), 1),
    largestSuspects: Math.max(...games.map((game) => game.suspects)),
    meanEntropyBits: round(entropy, 4),
    meanHuffmanProbes: round(huffman, 4),
    meanPlannedProbes: round(planned, 4),
    meanProbes: round(probes, 4),
    ratio: round(probes / entropy, 4),
    plannedRatio: round(planned / entropy, 4),
    huffmanRatio: round(huffman / entropy, 4),
    worstProbes: Math.max(...games.map((game) => game.probes)),
    casesAboveAim: games.filter((game) => game.probes > worstAim).length,
    unavoidableAboveAim,
    optimalShare: round(mean(games.map((game) => (game.optimal ? 1 : 0))), 3),
    greedyMeanProbes: round(greedyProbes, 4),
    greedyRatio: round(greedyProbes / entropy, 4),
    greedyWorstProbes: Math.max(...greedy.map((game) => game.probes)),
    stepMilliseconds: round(mean(elapsed), 2),
    stepMedianMilliseconds: round(elapsed[elapsed.length >> 1] ?? 0, 3),
    stepProcessorMilliseconds: round(mean(games.flatMap((game) => game.processorMilliseconds)), 2),
  };
}

/** Sums up all circuits. */
export function summarise(
  machine: string,
  seed: number,
  cases: number,
  circuits: readonly CircuitSummary[],
): ProbingSummary {
  const counted = circuits.filter(({ circuit }) => circuit !== "c17");
  const mean = (figure: (row: CircuitSummary) => number): number =>
    round(counted.reduce((sum, row) => sum + figure(row), 0) / counted.length, 4);
  const meanRatio = mean((row) => row.ratio);
  const meanHuffmanRatio = mean((row) => row.huffmanRatio);
  const worstProbes = Math.max(...counted.map((row) => row.worstProbes));
  const slowest = Math.max(...counted.map((row) => row.stepMilliseconds));
  return {
    machine,
    seed,
    cases,
    circuits,
    meanRatio,
    meanPlannedRatio: mean((row) => row.plannedRatio),
    meanHuffmanRatio,
    meanGreedyRatio: mean((row) => row.greedyRatio),
    worstProbes,
    casesAboveAim: counted.reduce((sum, row) => sum + row.casesAboveAim, 0),
    unavoidableAboveAim: counted.reduce((sum, row) => sum + row.unavoidableAboveAim, 0),
    slowestStepMilliseconds: slowest,
    aims: {
      ratio: meanRatio <= Math.max(ratioAim, huffmanAim * meanHuffmanRatio),
      worst: worstProbes <= worstAim,
      time: slowest < stepAimMilliseconds,
    },
  };
}

function round(value: number, decimals: number): number {
  return Number(value.toFixed(decimals));
}
