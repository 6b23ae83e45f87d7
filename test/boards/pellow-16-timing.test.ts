import { describe, expect, it } from "vitest";
import { combinationalLevels } from "./combinational.js";
import { loadBoard, loadPartTypes } from "./support.js";

const types = loadPartTypes();
const board = loadBoard("pellow-16");
const levels = combinationalLevels(board, types);
const crystalHertz = board.parts.find((part) => part.type === "crystal")?.frequencyHertz ?? Number.NaN;
const netAt = (ref: string, pin: string): string => {
  const net = board.parts.find((part) => part.ref === ref)?.pins[pin];
  if (net === undefined) throw new RangeError(`${ref}.${pin} is open`);
  return net;
};
const definite = (level: boolean | undefined): boolean => {
  if (level === undefined) throw new RangeError("a level is not definite");
  return level;
};

/** Pins QA to QD and A to D of a 74LS163. */
const outputs = ["14", "13", "12", "11"];
const inputs = ["3", "4", "5", "6"];
const counters = ["U34", "U35", "U36", "U37"];
/** Nets of the counter chain, least significant first; the last bit is not wired and always high. */
const chain = ["H0", "H1", "H2", "H3", "H4", "H5", ...[0, 1, 2, 3, 4, 5, 6, 7, 8].map((n) => `VL${n}`)];
const full = 2 ** 16;
const preset = counters
  .flatMap((ref) => inputs.map((pin) => netAt(ref, pin) !== board.ground))
  .reduce((sum, high, bit) => sum + (high ? 2 ** bit : 0), 0);

/** Levels behind the counter chain at one count. */
function atCount(
  count: number,
  also: readonly (readonly [string, boolean])[] = [],
): (net: string) => boolean {
  const given = new Map(chain.map((net, bit) => [net, Math.floor(count / 2 ** bit) % 2 === 1] as const));
  for (const [net, level] of also) given.set(net, level);
  const levelOf = levels(given);
  return (net) => definite(levelOf(net));
}

describe("the picture counters of Pellow 16", () => {
  it("are one synchronous chain in the order of the address lines", () => {
    const nets = counters.flatMap((ref) =>
      outputs.map((pin) => board.parts.find((part) => part.ref === ref)?.pins[pin]),
    );
    expect(nets).toEqual([...chain, undefined]);
    for (const [i, ref] of counters.entries()) {
      expect(netAt(ref, "2")).toBe("/PHI0");
      expect(netAt(ref, "9")).toBe("/VLOAD");
      expect(netAt(ref, "10")).toBe(i === 0 ? "+5" : netAt(counters[i - 1] ?? "", "15"));
    }
    expect(definite(levels(new Map([["VCARRY", true]]))("/VLOAD"))).toBe(false);
  });

  it("make lines of 64 microseconds and 312 lines a frame", () => {
    const lineSeconds = 64 * (16 / crystalHertz);
    expect(lineSeconds).toBeCloseTo(64e-6, 12);
    expect(preset % 64).toBe(0);
    expect((full - preset) / 64).toBe(312);
    expect(1 / (312 * lineSeconds)).toBeCloseTo(50.08, 2);
  });

  const frame = Array.from({ length: 312 }, (_, line) =>
    Array.from({ length: 64 }, (_, column) => {
      const net = atCount(preset + line * 64 + column);
      return {
        column,
        line,
        field: net("FIELD RAW"),
        blank: net("BLANK"),
        lineSync: net("HSYNC"),
        frameSync: net("VSYNC"),
      };
    }),
  ).flat();

  it("show 192 lines of 32 bytes, nowhere blanked, 56 lines after the start of the frame", () => {
    const field = frame.filter((at) => at.field);
    expect(field.length).toBe(192 * 32);
    expect(field.some((at) => at.blank)).toBe(false);
    expect([Math.min(...field.map((at) => at.line)), Math.max(...field.map((at) => at.line))]).toEqual([
      56, 247,
    ]);
    expect([Math.min(...field.map((at) => at.column)), Math.max(...field.map((at) => at.column))]).toEqual([
      0, 31,
    ]);
  });

  it("leave a border of 8 columns to the left and right, 32 lines above and 64 below", () => {
    const border = frame.filter((at) => !at.field && !at.blank);
    const besidePicture = border.filter((at) => at.line === 100).map((at) => at.column);
    expect(besidePicture).toEqual([32, 33, 34, 35, 36, 37, 38, 39, 56, 57, 58, 59, 60, 61, 62, 63]);
    const overPicture = border.filter((at) => at.column === 10).map((at) => at.line);
    expect(overPicture.filter((line) => line < 56).length).toBe(32);
    expect(overPicture.filter((line) => line > 247).length).toBe(64);
  });

  it("sync for 4 microseconds in every line and for 4 lines in every frame, always while blanked", () => {
    for (let line = 24; line < 312; line += 1) {
      const sync = frame.filter((at) => at.line === line && at.lineSync).map((at) => at.column);
      expect(sync).toEqual([44, 45, 46, 47]);
    }
    expect([...new Set(frame.filter((at) => at.frameSync).map((at) => at.line))]).toEqual([0, 1, 2, 3]);
    expect(frame.filter((at) => (at.lineSync || at.frameSync) && !at.blank)).toEqual([]);
  });

  const address = (count: number): number => {
    let sum = 0;
    for (const column of [false, true]) {
      const net = atCount(count, [
        ["PHI0", false],
        ["COL", column],
      ]);
      for (let bit = 0; bit < 7; bit += 1) if (net(`MA${bit}`)) sum += 2 ** (bit + (column ? 7 : 0));
    }
    return sum;
  };

  it("fetch the screen memory byte by byte from 2000 on", () => {
    const fetched = frame.filter((at) => at.field).map((at) => address(preset + at.line * 64 + at.column));
    expect(fetched).toEqual(Array.from({ length: 192 * 32 }, (_, i) => 0x2000 + i));
  });

  it("visit all 128 rows of the dynamic RAM every four lines, which keeps it refreshed", () => {
    for (let line = 0; line + 4 <= 312; line += 1) {
      const rows = frame
        .slice(line * 64, (line + 4) * 64)
        .map((at) => address(preset + at.line * 64 + at.column) % 128);
      expect(new Set(rows).size).toBe(128);
    }
  });
});

describe("the clock of Pellow 16", () => {
  /** One step for each period of the crystal: what the register U3 holds and what the load flip-flop U4 shows. */
  const steps: {
    processor: boolean;
    rowIdle: boolean;
    column: boolean;
    strobe: boolean;
    load: boolean;
    dot: boolean;
  }[] = [];
  let held = { PHI0: false, "/RASREG": true, COL: false, CASWIN: false };
  const registerInputs = { PHI0: "4", "/RASREG": "5", COL: "12", CASWIN: "13" } as const;
  let load = false;
  for (let count = 0; count < 48; count += 1) {
    const bit = (n: number): boolean => Math.floor(count / 2 ** n) % 2 === 1;
    const given = new Map([
      ["DOT", bit(0)],
      ["T4M", bit(1)],
      ["T2M", bit(2)],
      ["T1M", bit(3)],
      ...Object.entries(held),
    ]);
    const levelOf = levels(given);
    if (count >= 17)
      steps.push({
        processor: held.PHI0,
        rowIdle: held["/RASREG"],
        column: held.COL,
        strobe: held.CASWIN,
        load,
        dot: bit(0),
      });
    const next = (name: keyof typeof registerInputs): boolean =>
      definite(levelOf(netAt("U3", registerInputs[name])));
    held = { PHI0: next("PHI0"), "/RASREG": next("/RASREG"), COL: next("COL"), CASWIN: next("CASWIN") };
    // U4 takes the carry of U2, which is high at count 15, and shows it inverted as /SRLOAD.
    load = count % 16 === 15;
  }
  const cycle = steps.slice(0, 16);
  const pattern = (of: (step: (typeof steps)[number]) => boolean): string =>
    cycle.map((step) => (of(step) ? "1" : "0")).join("");

  it("gives the picture the first half of each microsecond and the processor the second", () => {
    expect((16 / crystalHertz) * 1e6).toBeCloseTo(1, 12);
    expect(pattern((step) => step.processor)).toBe("0000000011111111");
    expect(steps.slice(0, 15)).toEqual(steps.slice(16, 31));
  });

  it("runs row strobe, column address and column strobe one after the other in each half", () => {
    expect(pattern((step) => step.rowIdle)).toBe("1100000011000000");
    expect(pattern((step) => step.column)).toBe("0001111100011111");
    expect(pattern((step) => step.strobe)).toBe("0000111100001111");
  });

  it("loads the shift register once in eight dots, at the start of the cycle", () => {
    expect(pattern((step) => step.load)).toBe("0000000000000001");
    const dots = steps.slice(0, 16).filter((step, i) => step.dot && steps[i - 1]?.dot !== true);
    expect(dots.length).toBe(8);
  });
});
