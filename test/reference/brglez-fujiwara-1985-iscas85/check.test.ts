import { describe, expect, it } from "vitest";
import { createRandom } from "../../../src/core/base/random.js";
import { minimalHittingSets } from "../../../src/core/inference/minimal-sets.js";
import { circuitsAbsent, readCircuit } from "../support/circuits/read-circuit.js";
import { createSimulator } from "../support/circuits/simulator.js";
import { expectRows } from "../support/expect-rows.js";
import { minimalConflicts, minimalDiagnoses } from "../support/weak-fault-model.js";
import { c17Consistency, c17Gates } from "./c17.js";
import { data } from "./data.js";
import { referenceRows } from "./rows.js";

describe("the ISCAS-85 circuits", () => {
  expectRows(referenceRows);

  it("give c17 the same minimal diagnoses by enumeration and from the conflicts", () => {
    for (const [vector, outputs] of data.c17Diagnoses) {
      const consistent = c17Consistency(vector, outputs);
      const { sets, complete } = minimalHittingSets(minimalConflicts(c17Gates.length, consistent));
      const enumerated = minimalDiagnoses(c17Gates.length, consistent);
      expect(complete).toBe(true);
      expect(sets).toHaveLength(enumerated.length);
      expect(sets).toEqual(expect.arrayContaining(enumerated));
    }
  });

  it("c499 and c1355 answer random vectors alike", () => {
    const circuits = [readCircuit("c499"), readCircuit("c1355")];
    const outputs = circuits.map((netlist) => {
      if (netlist === null) return null;
      const simulator = createSimulator(netlist, 64);
      const random = createRandom(499);
      for (const net of netlist.inputs) {
        for (let w = 0; w < 64; w += 1) simulator.setInput(net, w, Math.trunc(random.next() * 2 ** 32) | 0);
      }
      simulator.run();
      return netlist.outputs.map((net) => [...simulator.values.subarray(net * 64, (net + 1) * 64)]);
    });
    if (outputs.includes(null)) console.warn(`skipped c499 against c1355: ${circuitsAbsent}`);
    else {
      expect(outputs[0]).toEqual(outputs[1]);
      expect(outputs[0]?.flat().some((word) => word !== 0)).toBe(true);
    }
  });

  it("c2670 has 76 inputs that feed no gate", () => {
    const netlist = readCircuit("c2670");
    if (netlist === null) console.warn(`skipped c2670: ${circuitsAbsent}`);
    else expect(netlist.inputs.filter((net) => netlist.sinks[net]?.length === 0)).toHaveLength(76);
  });
});
