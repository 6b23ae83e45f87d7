import { describe, expect, it } from "vitest";
import { circuitLines, collapsedFaults, plant } from "./faults.js";
import { depth, netNumber } from "./netlist.js";
import { parseBench } from "./read-bench.js";
import { createSimulator } from "./simulator.js";
import { createXorAndGraph, outputLiterals } from "./xor-and-graph.js";

// A gate of every kind, lines out of order, a net that forks.
const text = `# all kinds
OUTPUT(z)
OUTPUT(y)
z = XNOR(f, e)
f = Or(d, c)
e = nor(a, b) # after use
d = nand(a, b)
INPUT(a)
INPUT(b)
INPUT(c)
y = buff(g)
g = xor(h, c)
h = and(i, a)
i = inv(b)
`;

function level(a: number, b: number, c: number): { z: number; y: number } {
  const d = 1 - (a & b);
  const e = 1 - (a | b);
  return { z: 1 - ((d | c) ^ e), y: ((1 - b) & a) ^ c };
}

describe("a circuit in .bench form", () => {
  const netlist = parseBench(text);

  it("is read in any order and put in levels", () => {
    expect(netlist.gates).toHaveLength(8);
    expect(netlist.outputs.map((net) => netlist.names[net])).toEqual(["z", "y"]);
    expect(depth(netlist)).toBe(4);
    const place = new Map(netlist.gates.map((gate, g) => [gate.output, g]));
    netlist.gates.forEach((gate, g) => {
      for (const net of gate.inputs) expect(place.get(net) ?? -1).toBeLessThan(g);
    });
  });

  it("computes what its gates say, lane by lane", () => {
    const simulator = createSimulator(netlist, 2);
    ["a", "b", "c"].forEach((name, k) => {
      for (let word = 0; word < 2; word += 1) {
        let bits = 0;
        for (let lane = 0; lane < 32; lane += 1) bits |= (((lane + 3 * word) >> k) & 1) << lane;
        simulator.setInput(netNumber(netlist, name), word, bits);
      }
    });
    simulator.run();
    for (let lane = 0; lane < 64; lane += 1) {
      const number = (lane & 31) + 3 * (lane >>> 5);
      const bit = (name: string): number =>
        ((simulator.values[2 * netNumber(netlist, name) + (lane >>> 5)] ?? 0) >>> (lane & 31)) & 1;
      const expected = level(number & 1, (number >> 1) & 1, (number >> 2) & 1);
      expect({ z: bit("z"), y: bit("y") }).toEqual(expected);
    }
  });

  it("has branches only where a net forks, and a branch stuck leaves the rest of the net alone", () => {
    const branches = circuitLines(netlist).filter((line) => line.kind === "branch");
    expect(branches.map((line) => netlist.names[line.net]).sort()).toEqual([..."aaabbbcc"]);
    const simulator = createSimulator(netlist);
    for (const name of ["a", "b", "c"]) simulator.fillInput(netNumber(netlist, name), 1);
    const andGate = netlist.gates.findIndex((gate) => gate.kind === "nand");
    plant(simulator, {
      line: { kind: "branch", net: netNumber(netlist, "a"), gate: andGate, pin: 0 },
      value: 0,
    });
    simulator.run();
    expect(simulator.values[netNumber(netlist, "d")]).toBe(-1);
    expect(simulator.values[netNumber(netlist, "e")]).toBe(0);
    simulator.release();
    simulator.run();
    expect(simulator.values[netNumber(netlist, "d")]).toBe(0);
  });

  it("joins equivalent faults through a chain", () => {
    // One input, an inverter and a buffer: both stuck values, each once.
    expect(collapsedFaults(parseBench("INPUT(a)\nOUTPUT(c)\nb = not(a)\nc = buf(b)"))).toHaveLength(2);
    // Three lines of an AND: any of them at 0, and each at 1.
    expect(collapsedFaults(parseBench("INPUT(a)\nINPUT(b)\nOUTPUT(c)\nc = and(a, b)"))).toHaveLength(4);
    expect(collapsedFaults(parseBench("INPUT(a)\nINPUT(b)\nOUTPUT(c)\nc = xor(a, b)"))).toHaveLength(6);
  });

  it("is refused where a line is no gate, a net has no driver or two, or gates form a loop", () => {
    expect(() => parseBench("INPUT(a)\nb = maybe(a)")).toThrow("line 2");
    expect(() => parseBench("INPUT(a)\nOUTPUT(b)\nb = and(a, q)")).toThrow("no driver");
    expect(() => parseBench("INPUT(a)\nOUTPUT(b)\nb = and(a, c)\nc = buf(b)")).toThrow("loop");
    expect(() => parseBench("INPUT(a)\nOUTPUT(b)\nb = buf(a)\nb = not(a)")).toThrow("two drivers");
  });
});

describe("the graph of ANDs and exclusive ORs", () => {
  it("sees four NANDs as an exclusive OR and keeps different functions apart", () => {
    const ports = "INPUT(a)\nINPUT(b)\nOUTPUT(z)\n";
    const graph = createXorAndGraph();
    const literal = (gates: string) => outputLiterals(graph, parseBench(ports + gates))[0];
    const nands = literal("n = nand(a, b)\np = nand(a, n)\nq = nand(b, n)\nz = nand(p, q)");
    expect(nands).toBe(literal("z = xor(b, a)"));
    expect(nands).not.toBe(literal("z = xnor(a, b)"));
    expect(literal("z = nor(a, b)")).not.toBe(literal("z = nand(a, b)"));
    expect(literal("y = not(a)\nz = and(a, y)")).toBe(0);
  });

  it("carries held nets through the circuit", () => {
    const netlist = parseBench("INPUT(a)\nINPUT(b)\nOUTPUT(z)\nx = and(a, b)\nz = nor(x, b)");
    const graph = createXorAndGraph();
    const [literal] = outputLiterals(graph, netlist, [{ net: netNumber(netlist, "x"), value: 0 }]);
    expect(literal).toBe(graph.variable(1) ^ 1);
    expect([...outputLiterals(graph, netlist, [{ net: netNumber(netlist, "b"), value: 1 }])]).toEqual([0]);
  });
});
