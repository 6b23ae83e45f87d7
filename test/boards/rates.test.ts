import { describe, expect, it } from "vitest";
import { healthyRates } from "../../src/core/find/settle/rates.js";
import { moves } from "../../src/core/find/settle/value.js";
import { loadCircuit } from "../support/board-effects.js";

/** Rates as the pages of the boards (docs/boards) describe the clocks: 16 MHz, 64 microseconds a line, 312 lines. */
const lineHertz = 15_625;
const frameHertz = lineHertz / 312;

describe.each<[string, Readonly<Record<string, number>>]>([
  [
    "pellow-16",
    {
      CLK16: 16e6,
      DOT: 8e6,
      PHI0: 1e6,
      PHI2: 1e6,
      BPHI2: 1e6,
      "/RAS": 2e6,
      "/SRLOAD": 1e6,
      H5: lineHertz,
      HSYNC: lineHertz,
      "/HBLANK": lineHertz,
      VL8: frameHertz,
      VSYNC: frameHertz,
      VBLANK: frameHertz,
      "/VLOAD": frameHertz,
    },
  ],
  [
    "merrow",
    {
      CLK16: 16e6,
      "8 MHZ": 8e6,
      CLK: 4e6,
      "1 MHZ": 1e6,
      "CELL END": 1e6,
      "/DOT LOAD": 1e6,
      C5: lineHertz,
      "LINE SYNC": lineHertz,
      "LINE BLANK": lineHertz,
      L8: frameHertz,
      "FRAME SYNC": frameHertz,
      "FRAME BLANK": frameHertz,
      "BAUD CLK": 2e6 / 13,
    },
  ],
])("the healthy rates of %s", (id, expected) => {
  const circuit = loadCircuit(id);
  const rates = healthyRates(circuit);
  const rateOf = (net: string): number => rates[circuit.wiring.netIndex.get(net) ?? -1] ?? 0;

  it("are those of its clocks, lines and frames", () => {
    for (const [net, rate] of Object.entries(expected)) expect(rateOf(net), net).toBeCloseTo(rate, 6);
  });

  it("are given only to nets that move", () => {
    const { engine, wiring } = circuit;
    for (const [net, rate] of rates.entries()) {
      if (rate > 0) expect(moves(engine.unionOf(net)), wiring.nets[net]).toBe(true);
      expect(Number.isFinite(rate) && rate >= 0).toBe(true);
    }
  });

  it("say nothing of buses and data", () => {
    for (const net of ["D0", "A0"]) expect(rateOf(net)).toBe(0);
  });
});
