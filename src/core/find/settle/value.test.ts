import { describe, expect, it } from "vitest";
import { Level, unionOverPhases, wrongFlag } from "./value.js";

const union = (...levels: number[]): number => unionOverPhases(Uint8Array.from(levels), 0, levels.length);

describe("what an instrument sees over all phases", () => {
  it.each([
    ["one level all the time", [Level.high, Level.high], Level.high],
    ["low here and high there", [Level.low, Level.high], Level.pulsing],
    ["low, and now and then what a crashed program makes", [Level.low, Level.looping], Level.looping],
    // A strobe made by the clock goes on beating whatever the crashed program does in its own phases.
    ["low and high by the clock beside a crash", [Level.low, Level.looping, Level.high], Level.pulsing],
    ["a fight here, quiet there", [Level.fightLow, Level.low], Level.fightLow],
    ["a fight here, high there", [Level.fightLow, Level.high], Level.fightPulsing],
  ])("%s", (_, levels, expected) => {
    expect(union(...levels)).toBe(expected);
  });

  it("is wrong if the information is wrong in any phase", () => {
    expect(union(Level.low, Level.high | wrongFlag)).toBe(Level.pulsing | wrongFlag);
  });

  it("looks only at the phases asked for", () => {
    expect(unionOverPhases(Uint8Array.of(Level.high, Level.low, Level.low, Level.high), 1, 2)).toBe(
      Level.low,
    );
  });
});
