/*
 * Why: says how close the choice of probes comes to the fewest probes imaginable, on circuits everybody can get.
 * `--json FILE` keeps the figures, `--page FILE` the page about them.
 */
import { mkdirSync, writeFileSync } from "node:fs";
import { cpus } from "node:os";
import { dirname } from "node:path";
import { parseArgs } from "node:util";
import { createRandom } from "../src/core/base/random.js";
import {
  type CircuitName,
  circuitNames,
  circuitsAbsent,
  readCircuit,
} from "../test/reference/support/circuits/read-circuit.js";
import { createCaseSource } from "./probing/cases.js";
import { canEndWithin } from "./probing/least-worst.js";
import { renderPage } from "./probing/page.js";
import { play } from "./probing/play.js";
import { type CircuitSummary, summarise, summariseCircuit, worstAim } from "./probing/summary.js";

const { values } = parseArgs({
  options: {
    cases: { type: "string", default: "2000" },
    circuits: { type: "string", default: circuitNames.join(",") },
    seed: { type: "string", default: "7" },
    json: { type: "string", default: "" },
    page: { type: "string", default: "" },
  },
});

// The most even split and nothing else, the usual choice.
const greedyLimits = { exactSize: 0, beam: 1, openLimit: 0 };

function whole(name: "cases" | "seed"): number {
  const number = Number(values[name]);
  if (Number.isInteger(number) && number > 0) return number;
  console.error(`--${name} must be a positive whole number, got '${values[name]}'`);
  process.exit(2);
}

function wantedCircuits(): CircuitName[] {
  const names = values.circuits.split(",");
  const unknown = names.filter((name) => !circuitNames.some((circuit) => circuit === name));
  if (unknown.length > 0) {
    console.error(`there is no circuit '${unknown.join(", ")}'; there are: ${circuitNames.join(", ")}`);
    process.exit(2);
  }
  return circuitNames.filter((circuit) => names.includes(circuit));
}

function measure(circuit: CircuitName, cases: number, seed: number): CircuitSummary | null {
  const netlist = readCircuit(circuit);
  if (netlist === null) return null;
  const next = createCaseSource(netlist, createRandom(seed));
  const games = [];
  const greedy = [];
  let unavoidable = 0;
  for (let k = 0; k < cases; k += 1) {
    const drawn = next();
    const game = play(drawn);
    games.push(game);
    if (game.probes > worstAim && canEndWithin(drawn.table, worstAim) === false) unavoidable += 1;
    greedy.push(play(drawn, greedyLimits));
  }
  return summariseCircuit(circuit, netlist.names.length, games, greedy, unavoidable);
}

function keep(path: string, text: string): void {
  mkdirSync(dirname(path), { recursive: true });
  writeFileSync(path, text);
}

function main(): void {
  const cases = whole("cases");
  const seed = whole("seed");
  const rows: CircuitSummary[] = [];
  for (const circuit of wantedCircuits()) {
    const row = measure(circuit, cases, seed);
    if (row === null) console.error(`${circuit} left out: ${circuitsAbsent}`);
    else {
      rows.push(row);
      console.error(
        `${circuit}: ratio ${row.ratio}, worst ${row.worstProbes}, ${row.stepMilliseconds} ms a step`,
      );
    }
  }
  const machine = `${cpus()[0]?.model ?? "unknown processor"}, Node ${process.versions.node}`;
  const summary = summarise(machine, seed, cases, rows);
  if (values.json !== "") keep(values.json, `${JSON.stringify(summary, null, 2)}\n`);
  if (values.page !== "") keep(values.page, renderPage(summary));
  console.log(JSON.stringify(summary));
}

main();
