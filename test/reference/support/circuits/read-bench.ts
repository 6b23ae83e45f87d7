import { type GateKind, type GateLine, gateKinds, levelise, type Netlist } from "./netlist.js";

const portPattern = /^(INPUT|OUTPUT)\s*\(\s*([^\s()]+)\s*\)$/i;
const gatePattern = /^([^\s=()]+)\s*=\s*(\w+)\s*\(([^()]*)\)$/;

/**
 * Parses a circuit in .bench form: `INPUT(a)`, `OUTPUT(b)`, `b = nand(a, c)`, `#` begins a comment; case of the words
 * does not matter. Throws `RangeError` naming the line that is neither.
 */
export function parseBench(text: string): Netlist {
  const inputs: string[] = [];
  const outputs: string[] = [];
  const gates: GateLine[] = [];
  text.split("\n").forEach((raw, index) => {
    const line = raw.replace(/#.*/, "").trim();
    if (line === "") return;
    const port = portPattern.exec(line);
    if (port !== null) {
      (port[1]?.toUpperCase() === "INPUT" ? inputs : outputs).push(port[2] ?? "");
      return;
    }
    const gate = gatePattern.exec(line);
    const kind = gate === null ? undefined : gateKindNamed(gate[2] ?? "");
    if (gate === null || kind === undefined) {
      throw new RangeError(`line ${index + 1}: expected a port or a gate, got '${line}'`);
    }
    const names = (gate[3] ?? "").split(",").map((name) => name.trim());
    gates.push({ kind, output: gate[1] ?? "", inputs: names });
  });
  return levelise(inputs, outputs, gates);
}

function gateKindNamed(word: string): GateKind | undefined {
  const lower = word.toLowerCase();
  const kind = lower === "inv" ? "not" : lower === "buff" ? "buf" : lower;
  return gateKinds.find((known) => known === kind);
}
