import { describe, expect, it } from "vitest";
import { Emitter } from "./emitter.js";
import { renderListing, renderSource } from "./listing.js";

function small(): Emitter {
  const emitter = new Emitter(0x100);
  emitter.label("start", "here it begins");
  emitter.code("jp end", [0xc3, { kind: "word", label: "end" }], "far");
  emitter.code("jr start", [0x18, { kind: "offset", label: "start" }]);
  emitter.skipTo(0x110);
  emitter.label("end");
  emitter.data("defb 1", [1, { kind: "low", label: "end", plus: 1 }, { kind: "high", label: "end" }]);
  return emitter;
}

describe("the emitter", () => {
  it("fills in labels, gaps and the rest", () => {
    const image = small().finish("z80", 0x20, 0xff);
    expect([...image.bytes.slice(0, 6)]).toEqual([0xc3, 0x10, 0x01, 0x18, 0xfb, 0xff]);
    expect([...image.bytes.slice(0x10, 0x14)]).toEqual([1, 0x11, 0x01, 0xff]);
    expect([image.origin, image.usedBytes, image.codeBytes, image.bytes.length]).toEqual([0x100, 8, 5, 32]);
    expect(image.symbols.get("end")).toBe(0x110);
  });

  it("refuses what does not fit together", () => {
    expect(() => small().finish("z80", 0x12, 0xff)).toThrow("the ROM holds 18");
    expect(() => small().label("start")).toThrow("twice");
    expect(() => small().skipTo(0x101)).toThrow(RangeError);
    const open = new Emitter(0);
    open.code("jp nowhere", [0xc3, { kind: "word", label: "nowhere" }]);
    expect(() => open.finish("z80", 16, 0)).toThrow("no label nowhere");
    const far = new Emitter(0);
    far.label("start");
    far.skipTo(200);
    far.code("jr start", [0x18, { kind: "offset", label: "start" }]);
    expect(() => far.finish("z80", 256, 0)).toThrow("further than a short branch");
  });

  it("is listed with addresses, bytes, source and comments", () => {
    const image = small().finish("z80", 0x20, 0xff);
    const lines = renderListing(image).split("\n");
    expect(lines[1]).toBe(`${" ".repeat(19)}start:                  ; here it begins`);
    expect(lines[2]).toBe("0100  C3 10 01         jp end                  ; far");
    expect(lines).toContain("0103  18 FB            jr start");
    expect(renderSource(image)).toContain("defs 11,255\nend:\n");
  });
});
