import { describe, expect, it } from "vitest";
import { readWiring } from "./wiring.js";

describe("a line about the wiring", () => {
  it.each([
    ["U4.7 to U9.3 rings", "U4.7", "U9.3", "rings"],
    ["u4.7 to u9.3 does not ring", "U4.7", "U9.3", "open"],
    ["  U4.7  to J2.A12  beeps.", "U4.7", "J2.A12", "rings"],
    ["U4.7 to U9.3 open", "U4.7", "U9.3", "open"],
  ])("%s", (line, from, to, shows) => {
    expect(readWiring(line)).toEqual({ kind: "connection", from, to, shows });
  });

  it.each([
    "U4.7-U9.3 rings",
    "U4.7 rings",
    "U4.7 to rings",
    "U4 to U9 rings",
    "note U4.7 to U9.3 rings",
    "",
  ])("is not: %s", (line) => {
    expect(readWiring(line)).toBeUndefined();
  });
});
