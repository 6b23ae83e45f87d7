import { createRandom } from "../../../src/core/base/random.js";
import type { ReferenceRow } from "../support/check.js";
import { circuitLines, collapsedFaults } from "../support/circuits/faults.js";
import { depth, type Netlist } from "../support/circuits/netlist.js";
import { circuitsAbsent, readCircuit } from "../support/circuits/read-circuit.js";
import { createXorAndGraph, outputLiterals } from "../support/circuits/xor-and-graph.js";
import { c17Rows } from "./c17-rows.js";
import { data } from "./data.js";
import { countRightProducts } from "./multiplier.js";

const figures = ["inputs", "outputs", "gates", "lines", "collapsed stuck-at faults", "depth"] as const;
const products = 1024;

/** Counts of all circuits, what c6288 and c499 compute, and the diagnosis values of c17. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  const counts = data.circuits.flatMap(([name, ...published]) => {
    const netlist = readCircuit(name);
    const ours = netlist === null ? null : countsOf(netlist);
    return figures.map((figure, k): ReferenceRow => {
      const base = { quantity: `${name}: ${figure}`, published: published[k] ?? 0, tolerance: 0 };
      return ours === null
        ? { ...base, ours: null, tag: "published", skipped: circuitsAbsent }
        : { ...base, ours: ours[k] ?? 0, tag: "published" };
    });
  });
  return [...counts, multiplierRow(), sameFunctionRow(), ...c17Rows()];
}

function countsOf(netlist: Netlist): number[] {
  return [
    netlist.inputs.length,
    netlist.outputs.length,
    netlist.gates.length,
    circuitLines(netlist).length,
    collapsedFaults(netlist).length,
    depth(netlist),
  ];
}

function multiplierRow(): ReferenceRow {
  const netlist = readCircuit("c6288");
  const base = {
    quantity: `c6288: right products of ${products} random pairs`,
    published: products,
    tolerance: 0,
  };
  return netlist === null
    ? { ...base, ours: null, tag: "published", skipped: circuitsAbsent }
    : { ...base, ours: countRightProducts(netlist, products, createRandom(6288)), tag: "published" };
}

/** Exact: both circuits end in the same nodes of one graph, so the outputs are the same functions of the inputs. */
function sameFunctionRow(): ReferenceRow {
  const [one, other] = [readCircuit("c499"), readCircuit("c1355")];
  const base = { quantity: "c499 and c1355: outputs proven to be the same", published: 32, tolerance: 0 };
  if (one === null || other === null)
    return { ...base, ours: null, tag: "published", skipped: circuitsAbsent };
  const graph = createXorAndGraph();
  const literals = outputLiterals(graph, other);
  const same = outputLiterals(graph, one).filter((literal, k) => literal === literals[k]);
  return { ...base, ours: same.length, tag: "published" };
}
