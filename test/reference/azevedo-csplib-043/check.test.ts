import { describe, expect, it } from "vitest";
import { createRandom } from "../../../src/core/base/random.js";
import { equivalenceClasses } from "../support/circuits/equivalence.js";
import { netNumber } from "../support/circuits/netlist.js";
import { parseBench } from "../support/circuits/read-bench.js";
import { expectRows } from "../support/expect-rows.js";
import { referenceRows } from "./rows.js";

describe("CSPLib problem 043", () => {
  expectRows(referenceRows);

  it("claims no proof where the graph cannot give one", () => {
    // Both faults leave the same function, a or b, but one graph holds it as (a xor b) or (a and b).
    const netlist = parseBench(
      "INPUT(a)\nINPUT(b)\nINPUT(s)\nOUTPUT(z)\nx = xor(a, b)\ny = and(a, b)\np = or(x, y)\nq = or(a, b)\nns = not(s)\nu = and(s, p)\nv = and(ns, q)\nz = or(u, v)",
    );
    const net = netNumber(netlist, "s");
    const found = equivalenceClasses(netlist, [[{ net, value: 0 }], [{ net, value: 1 }]], createRandom(1), 1);
    expect(found).toEqual({ classes: [[0, 1]], proven: false });
  });
});
