/*
 * Why: a list of failing addresses is pasted by somebody who waits; the target is 200 ms for 65,536 of them. Says how long
 * reading the list and ranking the causes take, and whether the injected fault came first.
 */
import { loadBoard } from "../src/app/load-board.js";
import { explainFailures } from "../src/core/memory/failing/explain.js";
import { type FailingRead, parseFailures } from "../src/core/memory/failing/failure-list.js";
import { type MemoryArray, mapMemory } from "../src/core/memory/map/memory-map.js";
import { openStore } from "../src/store/store.js";
import { type ArrayFault, marchFailures } from "../test/support/failing-memory.js";

const repeats = 7;
const wanted = 65_536;
const store = openStore();

/** Arrays of a board, and the first that holds a region. */
function memoryOf(name: string, region: string): { arrays: readonly MemoryArray[]; array: MemoryArray } {
  const loaded = loadBoard(store, name).value;
  const arrays = loaded === undefined ? undefined : mapMemory(loaded.board, loaded.types).value;
  const array = arrays?.find(({ regions }) => regions.includes(region));
  if (arrays === undefined || array === undefined) throw new Error(`${name} has no memory ${region}`);
  return { arrays, array };
}

const faults: readonly (readonly [string, string, ArrayFault, string])[] = [
  ["merrow", "ram", { kind: "row", bit: 3, index: 9, value: 0 }, "chip-row"],
  ["merrow", "ram", { kind: "bit", bit: 3, value: 0 }, "chip-bit"],
  ["pellow-16", "workspace", { kind: "joined", lines: [3, 6], wiring: "or" }, "address-lines-short"],
  ["pellow-16", "workspace", { kind: "no-write" }, "write"],
];

function median(values: readonly number[]): number {
  return Number(([...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0).toFixed(1));
}

const results = faults.map(([board, region, fault, kind]) => {
  const { arrays, array } = memoryOf(board, region);
  // Every second read of a list that is too long, and a short list again from the first, until there are enough.
  const whole = marchFailures(array, fault);
  const all = whole.length > wanted ? whole.filter((_, k) => k % 2 === 0) : whole;
  const reads: FailingRead[] = Array.from({ length: wanted }, (_, k) => all[k % all.length]).filter(
    (read) => read !== undefined,
  );
  const text = reads
    .map(({ address, expected, read }) => [address, expected, read].map(hex).join(","))
    .join("\n");
  const parse: number[] = [];
  const explain: number[] = [];
  const processor: number[] = [];
  let first = "";
  for (let run = 0; run < repeats; run += 1) {
    const started = performance.now();
    const list = parseFailures(text).value?.reads ?? [];
    const read = performance.now();
    const used = process.cpuUsage();
    first = explainFailures(arrays, list).value?.explanations[0]?.kind ?? "";
    parse.push(read - started);
    explain.push(performance.now() - read);
    const { user, system } = process.cpuUsage(used);
    processor.push((user + system) / 1000);
  }
  return {
    board,
    fault: fault.kind,
    reads: reads.length,
    distinctAddresses: new Set(reads.map(({ address }) => address)).size,
    parseMilliseconds: median(parse),
    explainMilliseconds: median(explain),
    explainProcessorMilliseconds: median(processor),
    first,
    isCauseFirst: first === kind,
  };
});

function hex(value: number): string {
  return value.toString(16);
}

console.log(JSON.stringify({ repeats, results }));
