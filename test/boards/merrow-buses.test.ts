import { describe, expect, it } from "vitest";
import type { BoardLevel } from "../../src/core/board/board.js";
import { type Bit, momentsOf } from "./moments.js";
import { loadBoard, loadPartTypes } from "./support.js";

const board = loadBoard("merrow");
const momentAt = momentsOf(board, loadPartTypes());

const dataNets = Array.from({ length: 8 }, (_, bit) => `D${bit}`);
const screenDataNets = Array.from({ length: 8 }, (_, bit) => `VD${bit}`);

/** Levels of numbered nets that spell a number: `counted("C", 6, 40)` sets C0 to C5. */
function counted(prefix: string, width: number, value: number): Record<string, BoardLevel> {
  return Object.fromEntries(
    Array.from({ length: width }, (_, bit) => [`${prefix}${bit}`, (value >> bit) & 1 ? "high" : "low"]),
  );
}

/** The number that nets carry, least significant first; `undefined` if one of them is not definite. */
function numberOn(level: (net: string) => Bit, nets: readonly string[]): number | undefined {
  let value = 0;
  for (const [bit, net] of nets.entries()) {
    const found = level(net);
    if (found === undefined) return undefined;
    if (found) value += 2 ** bit;
  }
  return value;
}

const binary = (value: number, width: number): string => value.toString(2).padStart(width, "0");
const lowOnes = (level: (net: string) => Bit, nets: readonly string[]): string[] =>
  nets.filter((net) => level(net) !== true);

describe("the buses of Merrow, phase by phase", () => {
  const drivers = new Map<string, (bit: number) => string>([
    ["rom-fetch", () => "U2"],
    ["ram-fetch", (bit) => `U${3 + bit}`],
    ["ram-read", (bit) => `U${3 + bit}`],
    ["screen-read", () => "U35"],
    ["pio-read", () => "U43"],
    ["serial-read", () => "U44"],
  ]);
  const writes = ["ram-write", "screen-write", "pio-write", "serial-write"];

  it.each(board.phases.map((phase) => phase.id))("%s has the driver it should have, and no other", (id) => {
    const moment = momentAt({ phase: id });
    for (const [bit, net] of dataNets.entries()) {
      const ref = writes.includes(id) ? "U1" : drivers.get(id)?.(bit);
      const wanted = ref === undefined ? [] : [[ref, true]];
      expect(moment.drivers(net).map((driver) => [driver.ref, driver.certain])).toEqual(wanted);
    }
    for (const [bit, net] of screenDataNets.entries()) {
      const ref = id === "screen-write" ? "U35" : bit < 4 ? "U33" : "U34";
      expect(moment.drivers(net).map((driver) => [driver.ref, driver.certain])).toEqual([[ref, true]]);
    }
  });

  it.each(board.phases.map((phase) => phase.id))("%s has steady selects, strobes and enables", (id) => {
    const moment = momentAt({ phase: id });
    const steering = [
      "/ROM OE",
      "/RAS",
      "/CAS",
      "/WE",
      "MUX",
      "/SCREEN SEL",
      "/SCREEN WE",
      "/SCREEN BUFFER",
      "C5",
    ];
    for (const net of [...steering, "/PIO SEL", "/SERIAL SEL", "/WAIT", "/RD", "/WR"]) {
      expect([net, moment.level(net)]).toEqual([net, expect.any(Boolean)]);
    }
    expect(moment.level("/WAIT")).toBe(true);
    expect(moment.level("/RESET")).toBe(true);
  });

  it("has every readable region read and every writable one written in a phase", () => {
    const addressed = (from: string, to: string, cycles: readonly string[], space: string): boolean =>
      board.phases.some((phase) => {
        if (phase.address === undefined || !cycles.includes(phase.cycle)) return false;
        const text = space === "io" ? phase.address.slice(8) : phase.address;
        const lowest = Number.parseInt(text.replaceAll("x", "0"), 2);
        return lowest >= Number.parseInt(from, 16) && lowest <= Number.parseInt(to, 16);
      });
    for (const region of board.memory) {
      const [reads, wrote] =
        region.space === "io" ? [["io-read"], ["io-write"]] : [["fetch", "memory-read"], ["memory-write"]];
      expect([region.id, addressed(region.from, region.to, reads, region.space)]).toEqual([region.id, true]);
      if (region.kind === "rom") continue;
      expect([region.id, addressed(region.from, region.to, wrote, region.space)]).toEqual([region.id, true]);
    }
  });

  it("passes a reset on to processor and serial chip, and to the PIO as an /M1 without /RD", () => {
    const resetAt = (levels: Record<string, BoardLevel>): Bit[] => {
      const { level } = momentAt({ phase: "idle", levels });
      return ["/RESET", "RESET", "/PIO M1", "/RD"].map(level);
    };
    expect(resetAt({ "RESET RC": "low" })).toEqual([false, true, false, true]);
    expect(resetAt({})).toEqual([true, false, true, true]);
    const fetch = momentAt({ phase: "rom-fetch" });
    expect([fetch.level("/PIO M1"), fetch.level("/RD")]).toEqual([false, false]);
  });

  it("refreshes with the row strobe alone", () => {
    const { level } = momentAt({ phase: "refresh", address: binary(0x0055, 16) });
    expect([level("/RAS"), level("/CAS"), level("/SCREEN SEL"), level("/RAM SEL")]).toEqual([
      false,
      true,
      true,
      true,
    ]);
    expect(numberOn(level, ["MA0", "MA1", "MA2", "MA3", "MA4", "MA5", "MA6"])).toBe(0x55);
  });
});

describe("the decoding of Merrow, address by address", () => {
  const regionAt = (space: "memory" | "io", address: number): string =>
    board.memory.find(
      (region) =>
        region.space === space &&
        address >= Number.parseInt(region.from, 16) &&
        address <= Number.parseInt(region.to, 16),
    )?.id ?? "none";

  it("selects in each of the 256 pages what the memory map says, for reading and for writing", () => {
    for (let page = 0; page < 256; page += 1) {
      const address = `${binary(page, 8)}xxxxxxxx`;
      const region = regionAt("memory", page * 256);
      const read = momentAt({ phase: "ram-read", address }).level;
      expect([page, lowOnes(read, ["/ROM OE", "/SCREEN SEL", "/RAM SEL"])]).toEqual([
        page,
        [{ rom: "/ROM OE", screen: "/SCREEN SEL", ram: "/RAM SEL" }[region]],
      ]);
      expect([page, read("RAM GO")]).toEqual([page, region === "ram"]);
      const write = momentAt({ phase: "ram-write", address }).level;
      expect([page, write("/ROM OE"), write("/SCREEN WE"), write("RAM GO")]).toEqual([
        page,
        true,
        region !== "screen",
        region === "ram",
      ]);
    }
  });

  it("selects at each of the 256 ports what the memory map says", () => {
    for (let port = 0; port < 256; port += 1) {
      const { level } = momentAt({ phase: "pio-read", address: `xxxxxxxx${binary(port, 8)}` });
      const wanted = { pio: ["/PIO SEL"], serial: ["/SERIAL SEL"], none: [] }[regionAt("io", port)];
      expect([port, lowOnes(level, ["/PIO SEL", "/SERIAL SEL"])]).toEqual([port, wanted]);
      expect(lowOnes(level, ["/ROM OE", "/SCREEN SEL", "/RAM SEL"])).toEqual([]);
    }
  });

  it("gives the dynamic RAM the low half of the address as row and the high half as column", () => {
    const address = binary(0xa5c3, 16);
    const muxed = Array.from({ length: 8 }, (_, bit) => `MA${bit}`);
    const row = momentAt({ phase: "ram-read", address, levels: { MUX: "low" } });
    expect(numberOn(row.level, muxed)).toBe(0xc3);
    const column = momentAt({ phase: "ram-read", address, levels: { MUX: "high" } });
    expect(numberOn(column.level, muxed)).toBe(0xa5);
  });

  it("makes the processor wait for blanking when it wants the screen memory, and never otherwise", () => {
    const shown = { ...counted("C", 6, 5), ...counted("L", 9, 100) };
    expect(momentAt({ phase: "screen-write", levels: shown }).level("/WAIT")).toBe(false);
    expect(momentAt({ phase: "ram-write", levels: shown }).level("/WAIT")).toBe(true);
    const between = { ...shown, ...counted("C", 6, 40) };
    expect(momentAt({ phase: "screen-write", levels: between }).level("/WAIT")).toBe(true);
  });

  it("pulls down one key column at a time", () => {
    const columns = Array.from({ length: 8 }, (_, column) => `KEY COLUMN ${column}`);
    for (const [column, net] of columns.entries()) {
      const { level } = momentAt({ phase: "pio-write", levels: counted("KEY SELECT ", 3, column) });
      expect(columns.filter((name) => level(name) === false)).toEqual([net]);
      expect(columns.filter((name) => level(name) === true)).toHaveLength(7);
    }
  });

  it("lets the processor reach each place of the screen memory in order", () => {
    for (const place of [0, 1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1023]) {
      const { level } = momentAt({ phase: "screen-read", address: `000100${binary(place, 10)}` });
      expect(
        numberOn(
          level,
          Array.from({ length: 10 }, (_, bit) => `SA${bit}`),
        ),
      ).toBe(place);
    }
  });
});
