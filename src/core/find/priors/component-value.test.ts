import { describe, expect, it } from "vitest";
import { parseMicrofarad, parseRatedVolt, parseWatt } from "./component-value.js";

describe("printed component values", () => {
  it.each([
    ["100n", 0.1],
    ["4n7", 0.0047],
    ["2u2", 2.2],
    ["330p", 0.00033],
    ["1000u 10 V", 1000],
    ["0.1uF", 0.1],
    ["10 µF", 10],
  ])("%s holds %d microfarad", (text, expected) => {
    expect(parseMicrofarad(text)).toBeCloseTo(expected, 10);
  });

  it.each(["4k7", "8 x 10k", "16 MHz", "small signal", "", "0n"])("%s holds no capacitance", (text) => {
    expect(parseMicrofarad(text)).toBeUndefined();
  });

  it("reads rated voltage and power", () => {
    expect(parseRatedVolt("1000u 10 V")).toBe(10);
    expect(parseRatedVolt("10u16V")).toBe(16);
    expect(parseRatedVolt("100n")).toBeUndefined();
    expect(parseWatt("47 2 W")).toBe(2);
    expect(parseWatt("1/4 W")).toBe(0.25);
    expect(parseWatt("4k7")).toBeUndefined();
  });
});
