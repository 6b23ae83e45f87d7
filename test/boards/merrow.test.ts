import { describe, expect, it } from "vitest";
import type { BoardLevel } from "../../src/core/board/board.js";
import { type Bit, momentsOf } from "./moments.js";
import {
  doublyDrivenNets,
  integratedCircuits,
  loadBoard,
  loadPartTypes,
  lonelyNets,
  memoryMapFlaws,
  misplacedParts,
  missingDecouplers,
  openInputs,
  supplyFlaws,
  unknownNames,
  unknownPins,
} from "./support.js";

const board = loadBoard("merrow");
const types = loadPartTypes();
const momentAt = momentsOf(board, types);

const dataNets = Array.from({ length: 8 }, (_, bit) => `D${bit}`);
const screenDataNets = Array.from({ length: 8 }, (_, bit) => `VD${bit}`);
const dynamicRams = dataNets.map((_, bit) => `U${3 + bit}`);

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

describe("the board Merrow as a parts list", () => {
  it("has 50 integrated circuits of the kinds its story tells of", () => {
    const chips = integratedCircuits(board, types);
    expect(chips).toHaveLength(50);
    const count = (type: string): number => chips.filter((chip) => chip.type === type).length;
    expect(count("4164")).toBe(8);
    expect(count("2114")).toBe(2);
    expect(["Z80", "Z80-PIO", "8251", "1488", "1489", "2732", "2716", "74LS166"].map(count)).toEqual(
      Array(8).fill(1),
    );
  });

  it("uses only pins its part types have, and only names that exist", () => {
    expect(unknownPins(board, types)).toEqual([]);
    expect(unknownNames(board)).toEqual([]);
  });

  it("has no net with two outputs that cannot let go, no input in the air, no net of one pin", () => {
    expect(doublyDrivenNets(board, types)).toEqual([]);
    expect(openInputs(board, types, [])).toEqual([]);
    expect(lonelyNets(board, [])).toEqual([]);
  });

  it("gives every supply pin its voltage and every chip a capacitor within 25 mm", () => {
    expect(supplyFlaws(board, types)).toEqual([]);
    expect(missingDecouplers(board, types, 25)).toEqual([]);
  });

  it("keeps every part on the board, no two in one place", () => {
    expect(misplacedParts(board)).toEqual([]);
  });

  it("sockets what a restorer would swap first and solders the dynamic RAM", () => {
    const socketed = board.parts.filter((part) => part.socketed === true).map((part) => part.type);
    expect(socketed.sort()).toEqual(["1488", "1489", "2716", "2732", "8251", "Z80", "Z80-PIO"]);
  });

  it("has a memory map without overlap in which each bit has its chip", () => {
    expect(memoryMapFlaws(board, 8)).toEqual([]);
    const ram = board.memory.find((region) => region.id === "ram");
    expect(ram?.chips.map((chip) => [chip.part, chip.bits])).toEqual(
      dynamicRams.map((ref, bit) => [ref, [bit]]),
    );
    for (const [bit, ref] of dynamicRams.entries()) {
      const pins = board.parts.find((part) => part.ref === ref)?.pins;
      expect([pins?.["2"], pins?.["14"]]).toEqual([`D${bit}`, `D${bit}`]);
    }
  });
});

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
});

describe("the picture of Merrow, count by count", () => {
  const screenAddress = Array.from({ length: 10 }, (_, bit) => `SA${bit}`);

  it("gives each of the 40 x 24 characters a place of its own in the screen memory", () => {
    const places = new Map<number, string>();
    for (let row = 0; row < 24; row += 1) {
      for (let column = 0; column < 40; column += 1) {
        const levels = { ...counted("C", 6, column), ...counted("L", 9, 8 * row) };
        const place = numberOn(momentAt({ phase: "video-left", levels }).level, screenAddress);
        const wanted = column < 32 ? 32 * row + column : 0x300 + 8 * row + column - 32;
        expect([row, column, place]).toEqual([row, column, wanted]);
        places.set(wanted, `${row},${column}`);
      }
    }
    expect(places.size).toBe(960);
  });

  it("lets the processor reach the same places in order", () => {
    for (const place of [0, 1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1023]) {
      const { level } = momentAt({ phase: "screen-read", address: `000100${binary(place, 10)}` });
      expect(numberOn(level, screenAddress)).toBe(place);
    }
  });

  it("shows 40 of 64 columns and makes the line sync in columns 48 to 51", () => {
    const columns = Array.from({ length: 64 }, (_, column) => {
      const { level } = momentAt({ phase: "idle", levels: counted("C", 6, column) });
      return { blank: level("LINE BLANK"), sync: level("LINE SYNC") };
    });
    expect(columns.map(({ blank }) => blank)).toEqual(columns.map((_, column) => column >= 40));
    expect(columns.map(({ sync }) => sync)).toEqual(columns.map((_, column) => column >= 48 && column < 52));
  });

  it("shows 192 of 312 lines, makes the frame sync in lines 240 to 243, and starts again after line 311", () => {
    const lines = Array.from({ length: 312 }, (_, line) => {
      const { level } = momentAt({ phase: "idle", levels: counted("L", 9, line) });
      return { blank: level("FRAME BLANK"), sync: level("FRAME SYNC"), end: level("/FRAME END") === false };
    });
    expect(lines.map(({ blank }) => blank)).toEqual(lines.map((_, line) => line >= 192));
    expect(lines.map(({ sync }) => sync)).toEqual(lines.map((_, line) => line >= 240 && line < 244));
    expect(lines.map(({ end }) => end)).toEqual(lines.map((_, line) => line === 311));
  });

  it("loads the shift register at the end of each character and puts the leftmost dot out first", () => {
    const loading = Array.from({ length: 8 }, (_, count) => {
      const levels = Object.fromEntries(
        ["4 MHZ", "2 MHZ", "1 MHZ"].map((net, bit) => [net, (count >> bit) & 1 ? "high" : "low"] as const),
      );
      return momentAt({ phase: "video-left", levels }).level("/DOT LOAD") === false;
    });
    expect(loading).toEqual([false, false, false, false, false, false, false, true]);
    const pins = board.parts.find((part) => part.ref === "U38")?.pins;
    expect([pins?.["14"], pins?.["2"]]).toEqual(["GD7", "GD0"]);
  });
});
