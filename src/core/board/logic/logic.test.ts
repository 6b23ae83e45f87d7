import { describe, expect, it } from "vitest";
import { createRandom } from "../../base/random.js";
import { evaluateExpression } from "../expression.js";
import { partTypeSchema } from "../part-type.js";
import { partTypeFlaws } from "../part-type-flaws.js";
import { parseEquations } from "./equations.js";
import { logicOfFuses } from "./fuse-logic.js";
import { arrayMaps, fuseDevices, fusesOf } from "./fuse-maps.js";
import { programmedType } from "./fuse-type.js";
import { fuseSum, parseFuseFile } from "./jedec.js";

/** Fuses of a device with the terms given as row and pins; `!4` is the complement of pin 4. */
function fusesWith(
  device: Exclude<(typeof fuseDevices)[number], "GAL16V8">,
  terms: readonly (readonly [number, string])[],
): Uint8Array {
  const { columns } = arrayMaps[device];
  const fuses = new Uint8Array(fusesOf(device));
  for (const [row, pins] of terms) {
    fuses.fill(1, row * columns.length * 2, (row + 1) * columns.length * 2);
    for (const name of pins.split(" ").filter((word) => word !== "")) {
      const column = columns.indexOf(Number(name.replace("!", ""))) * 2 + (name.startsWith("!") ? 1 : 0);
      fuses[row * columns.length * 2 + column] = 0;
    }
  }
  return fuses;
}

describe("fuses of the bipolar devices", () => {
  it("have the number the data sheets state", () => {
    expect(fuseDevices.map(fusesOf)).toEqual([2048, 2048, 2048, 2048, 2560, 2194]);
  });

  it("make inverted sums, with an enable where the first term is one", () => {
    const cells = logicOfFuses(
      "PAL16L8",
      fusesWith("PAL16L8", [
        [0, ""],
        [1, "2 !3"],
        [2, "18"],
        [8, "9"],
        [9, "1"],
      ]),
    );
    expect(cells).toEqual([
      {
        pin: 19,
        level: ["not", ["or", ["and", "2", ["not", "3"]], "18"]],
        enable: true,
        isRegistered: false,
      },
      { pin: 18, level: ["not", "1"], enable: "9", isRegistered: false },
    ]);
  });

  it("take registered outputs where the device has them", () => {
    const registered = (device: (typeof fuseDevices)[number]): number[] =>
      logicOfFuses(device, new Uint8Array(fusesOf(device)))
        .filter((cell) => cell.isRegistered)
        .map(({ pin }) => pin);
    expect(registered("PAL16R8")).toHaveLength(8);
    expect(registered("PAL16R6")).toEqual([18, 17, 16, 15, 14, 13]);
    expect(registered("PAL16R4")).toEqual([17, 16, 15, 14]);
    expect(registered("PAL20L8")).toEqual([]);
  });

  it("become part types without a flaw", () => {
    for (const device of fuseDevices) {
      if (device === "GAL16V8") continue;
      const first = arrayMaps[device].columns[0] ?? 2;
      const cells = logicOfFuses(
        device,
        fusesWith(device, [
          [0, ""],
          [1, String(first)],
          [2, `!${first}`],
        ]),
      );
      const type = programmedType(device, `${device} (U7)`, cells);
      expect(partTypeSchema.safeParse(type).success, device).toBe(true);
      expect(partTypeFlaws(type), device).toEqual([]);
    }
  });

  it("are refused in another number", () => {
    expect(() => logicOfFuses("PAL16L8", new Uint8Array(2))).toThrow(RangeError);
  });
});

describe("equations", () => {
  it("are read with names, enables and registers", () => {
    const text = "pin 2 = A\npin 3 = B ; the other\n19 = A & !B | 4\n/18 := A\n19.oe = !(A | B)\n";
    expect(parseEquations(text).value).toEqual([
      {
        pin: 19,
        level: ["or", ["and", "2", ["not", "3"]], "4"],
        enable: ["not", ["or", "2", "3"]],
        isRegistered: false,
      },
      { pin: 18, level: ["not", "2"], enable: ["not", "11"], isRegistered: true },
    ]);
  });

  it("are refused with their line", () => {
    const codes = (text: string): unknown =>
      parseEquations(text).problems.map(({ code, where }) => [code, where.line]);
    expect(codes("19 = 2\n19 = 3")).toEqual([["pin-twice", 2]]);
    expect(codes("19 = X")).toEqual([["unknown-name", 1]]);
    expect(codes("19 = 2 &")).toEqual([["equation-syntax", 1]]);
    expect(codes("19 = (2 | 3")).toEqual([["equation-syntax", 1]]);
    expect(codes("hello")).toEqual([["equation-syntax", 1]]);
    expect(codes("18.oe = 2")).toEqual([["equation-syntax", 1]]);
    expect(codes("")).toEqual([["equation-syntax", undefined]]);
    expect(codes(`19 = ${"(".repeat(500)}`)).toEqual([["equation-syntax", 1]]);
  });

  it("never fall over damaged text", () => {
    const random = createRandom(3);
    const sound = "pin 2 = A\n19 = A & !3 | (4 & /5)\n18 := A\n19.oe = !A\n";
    const letters = "pin 0129=:&|!/()oe.;A\n~";
    for (let i = 0; i < 20_000; i += 1) {
      const text = [...sound];
      for (let k = 0; k <= random.below(5); k += 1)
        text[random.below(text.length)] = letters[random.below(letters.length)] ?? "";
      const { value, problems } = parseEquations(text.join(""));
      expect(value === undefined).toBe(problems.some(({ severity }) => severity === "error"));
      for (const cell of value ?? []) evaluateExpression(cell.level, () => true);
    }
  });
});

describe("a fuse file", () => {
  const sound = "heading*\nQP20*QF16*F0*\nN a note*\nL0 1010*\nL8 11*\nC0008*\n";

  it("is read with its heading, defaults and sum", () => {
    const { value, problems } = parseFuseFile(sound);
    expect(problems).toEqual([]);
    expect([...(value?.fuses ?? [])].join("")).toBe("1010000011000000");
    expect(value).toMatchObject({ pins: 20, heading: "heading" });
    expect(fuseSum(value?.fuses ?? new Uint8Array(0))).toBe(8);
  });

  it("is refused with the line of what is wrong", () => {
    const codes = (text: string): unknown =>
      parseFuseFile(text).problems.map(({ code, where }) => [code, where.line]);
    expect(codes(sound.replace("1010", "1x10"))).toEqual([["fuse-field", 4]]);
    expect(codes(sound.replace("L8 11", "L15 11"))).toEqual([["fuse-range", 5]]);
    expect(codes(sound.replace("QF16*", ""))).toContainEqual(["fuse-count", undefined]);
    expect(codes(sound.replace("F0*", ""))).toEqual([["fuse-count", undefined]]);
    expect(codes("*QF99999999*F0*")).toContainEqual(["fuse-range", 1]);
    expect(codes("x".repeat(2_000_001))).toEqual([["fuse-large", undefined]]);
  });

  it("never falls over damaged text", () => {
    const random = createRandom(7);
    const letters = "*QFLKC01 9A\n\u0002\u0003é";
    for (let i = 0; i < 20_000; i += 1) {
      const text = [...sound];
      for (let k = 0; k <= random.below(6); k += 1)
        text[random.below(text.length)] = letters[random.below(letters.length)] ?? "";
      const { value, problems } = parseFuseFile(text.join(""));
      expect(value === undefined).toBe(problems.some(({ severity }) => severity === "error"));
    }
  });
});
