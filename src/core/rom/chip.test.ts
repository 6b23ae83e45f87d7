import { describe, expect, it } from "vitest";
import { bytesOfBlocks, epromOf, epromSizes, fillChip } from "./chip.js";

const content = Uint8Array.of(1, 2, 3, 4);

function chip(type: string) {
  const size = epromOf(type);
  if (size === undefined) throw new Error(`${type} is not known`);
  return size;
}

describe("EPROMs", () => {
  it("are known by their number, whatever the letters", () => {
    expect(epromOf("27C64")?.bytes).toBe(8192);
    expect(epromOf("M2732A")?.bytes).toBe(4096);
    expect(epromOf("2764A-25")?.pins).toBe(28);
    expect(epromOf("2716")?.pins).toBe(24);
    expect(epromOf("4164")).toBeUndefined();
    expect(epromOf("27010")).toBeUndefined();
    expect(epromSizes.every(({ bytes, type }) => bytes === (Number(type.slice(2)) * 1024) / 8)).toBe(true);
  });

  it("hold content at an offset, the rest filled", () => {
    const { value } = fillChip(content, { chip: chip("2716"), offset: 0x7fc, fill: 0x5a });
    expect(value?.length).toBe(2048);
    expect([...(value?.slice(-5) ?? [])]).toEqual([0x5a, 1, 2, 3, 4]);
    expect(value?.slice(0, -4).every((byte) => byte === 0x5a)).toBe(true);
    expect(fillChip(content, { chip: chip("2716") }).value?.[4]).toBe(0xff);
  });

  it("hold content several times", () => {
    const { value } = fillChip(
      new Uint8Array(4096).map((_, k) => k & 0xff),
      { chip: chip("2764"), isRepeated: true },
    );
    expect(value?.[4096 + 77]).toBe(77);
  });

  it("refuse what does not fit", () => {
    const codes = (layout: Omit<Parameters<typeof fillChip>[1], "chip">, bytes = content): string[] =>
      fillChip(bytes, { chip: chip("2716"), ...layout }).problems.map(({ code }) => code);
    expect(codes({}, new Uint8Array(2049))).toEqual(["chip-too-small"]);
    expect(codes({ offset: 2045 })).toEqual(["chip-offset"]);
    expect(codes({ offset: -1 })).toEqual(["chip-offset"]);
    expect(codes({ fill: 256 })).toEqual(["chip-fill"]);
    expect(codes({ isRepeated: true }, new Uint8Array(3))).toEqual(["chip-repeat"]);
  });

  it("take blocks that lie in their space", () => {
    const blocks = [{ address: 0xf002, bytes: content }];
    expect([...(bytesOfBlocks(blocks, 0xf000, 8).value ?? [])]).toEqual([255, 255, 1, 2, 3, 4, 255, 255]);
    expect(bytesOfBlocks(blocks, 0xf000, 5).problems.map(({ code }) => code)).toEqual(["chip-outside"]);
  });
});
