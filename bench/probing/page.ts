import {
  type CircuitSummary,
  huffmanAim,
  type ProbingSummary,
  ratioAim,
  stepAimMilliseconds,
  worstAim,
} from "./summary.js";

/** The page about the measurement, as Markdown. */
export function renderPage(summary: ProbingSummary): string {
  const met = (aim: boolean): string => (aim ? "met" : "not met");
  return `# How few probes

Written by \`npx tsx bench/probing.ts --json bench/results/probing.json --page docs/benches/probing.md\`.
Random seed ${summary.seed}, ${summary.cases} cases a circuit. ${summary.machine}.

## What is measured

On the circuits of Brglez and Fujiwara (1985), a net stuck at a value and an input vector, all drawn at random, kept if an
output is wrong. All outputs are seen; the suspects are the nets which, stuck at their wrong value, give the same outputs,
and all are equally likely. Then any net may be probed, at equal cost and without error, until one suspect is left. The
probe is chosen by \`src/core/inference/probe-choice.ts\`.

Fault and vector are drawn together. Drawing a fault first and then vectors until one fails would favour faults that are
hard to see; equal weights would then be the wrong ones, and the entropy no bound.

- **H**: entropy of the suspects, in bits; no plan needs fewer probes on average.
- **Huffman**: mean length of a Huffman code for as many suspects, the bound for probes that come in whole numbers. The
  probes that a circuit offers need not reach it: on c432 most of the suspects hang in chains.
- **planned**: mean of the plan made at the start, over every suspect; **probes**: what the one true suspect took,
  which scatters about the plan and can by luck lie below a bound.
- **ratio**: mean probes over mean H. **even split**: the same cases with the most even split at each step,
  without looking ahead.
- **known best**: share of the cases whose first plan reaches Huffman's bound, so that none can be better.
- **ms**: elapsed time of one choice, mean and median, on a machine that others may be using; **CPU ms**: processor time,
  mean.

| circuit | nets | suspects (most) | H | Huffman | planned | probes | ratio | Huffman / H | even split | worst (even split) | known best | ms (median) | CPU ms |
| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |
${summary.circuits.map(renderRow).join("\n")}

## Means over the circuits without c17

| | probes / H |
| --- | --- |
| Huffman's bound | ${summary.meanHuffmanRatio.toFixed(4)} |
| planned | ${summary.meanPlannedRatio.toFixed(4)} |
| probes made | ${summary.meanRatio.toFixed(4)} |
| even split | ${summary.meanGreedyRatio.toFixed(4)} |

Cases above ${worstAim} probes: ${summary.casesAboveAim}. Cases among them whose suspects no plan at all tells apart within ${worstAim} probes whichever is
true, shown by searching all plans: ${summary.unavoidableAboveAim}.

| aim | measured | |
| --- | --- | --- |
| mean ratio at most ${ratioAim}, or ${huffmanAim} times Huffman's bound where that is higher | ${summary.meanRatio.toFixed(4)} | ${met(summary.aims.ratio)} |
| no case above ${worstAim} probes | ${summary.worstProbes} | ${met(summary.aims.worst)} |
| less than ${stepAimMilliseconds} ms a choice on average, on every circuit | ${summary.slowestStepMilliseconds.toFixed(2)} | ${met(summary.aims.time)} |
`;
}

function renderRow(row: CircuitSummary): string {
  const cells = [
    row.circuit,
    row.nets,
    `${row.meanSuspects.toFixed(1)} (${row.largestSuspects})`,
    row.meanEntropyBits.toFixed(3),
    row.meanHuffmanProbes.toFixed(3),
    row.meanPlannedProbes.toFixed(3),
    row.meanProbes.toFixed(3),
    row.ratio.toFixed(3),
    row.huffmanRatio.toFixed(3),
    row.greedyRatio.toFixed(3),
    `${row.worstProbes} (${row.greedyWorstProbes})`,
    row.optimalShare.toFixed(2),
    `${row.stepMilliseconds.toFixed(2)} (${row.stepMedianMilliseconds.toFixed(2)})`,
    row.stepProcessorMilliseconds.toFixed(2),
  ];
  return `| ${cells.join(" | ")} |`;
}
