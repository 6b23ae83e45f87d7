import { describe, expect, it } from "vitest";
import { readPartLibrary, typeNamed } from "../../../../test/support/part-types.js";
import { tinyBoard } from "../../../../test/support/tiny-board.js";
import type { Board } from "../board.js";
import { findBusTargets } from "./bus-targets.js";
import { guessMemory } from "./memory.js";
import { NetLevels, type TypedPart } from "./net-levels.js";
import { planPhases } from "./phases.js";
import { solveLevels } from "./solve-levels.js";
import { disturbances } from "./wishes.js";

const library = readPartLibrary();
const typed = (board: Board): TypedPart[] =>
  board.parts.map((part) => ({ part, type: typeNamed(library, part.type) }));

/** Level of a net of a tiny board, and the open nets it depends on. */
function level(text: string, net: string, given: Record<string, 0 | 1> = {}): [0 | 1 | undefined, string[]] {
  const board = tinyBoard(text);
  const open = new Set<string>();
  const found = new NetLevels(board, typed(board)).levelOf(net, new Map(Object.entries(given)), open);
  return [found, [...open]];
}

describe("levels of nets", () => {
  it.each<[string, string, string, Record<string, 0 | 1>, 0 | 1 | undefined, string[]]>([
    ["a rail", "R1:resistor 1=+5V 2=A", "+5V", {}, 1, []],
    ["ground", "R1:resistor 1=GND 2=A", "GND", {}, 0, []],
    ["a pull-up", "R1:resistor 1=+5V 2=A", "A", {}, 1, []],
    ["a negative pull", "R1:resistor 1=-5V 2=A", "A", {}, 0, []],
    ["a pull through a network", "RN1:resistor-network 1=GND 2=B 3=A", "A", {}, 0, []],
    ["a closed jumper to a rail", "JP1:jumper 1=+5V 2=A", "A", {}, 1, []],
    ["two jumpers in a row", "JP2:jumper 1=B 2=A; JP1:jumper 1=+5V 2=B", "A", {}, 1, []],
    ["a gate with one input low", "U1:74LS00 1=A 2=GND 3=Y", "Y", {}, 1, []],
    ["a gate with an unknown input", "U1:74LS00 1=A 2=+5V 3=Y; J1:connector 1=A", "Y", {}, undefined, ["A"]],
    ["a gate with a given input", "U1:74LS00 1=A 2=+5V 3=Y; J1:connector 1=A", "Y", { A: 1 }, 0, []],
    ["an open TTL input", "U1:74LS00 1=+5V 3=Y", "Y", {}, 0, []],
    ["an open MOS input", "U1:74HCT04 2=Y", "Y", {}, undefined, []],
    ["gates in a row", "U1:74LS04 1=GND 2=A 3=A 4=B 5=B 6=Y", "Y", {}, 1, []],
    ["a ring of gates", "U1:74LS04 1=Y 2=A 3=A 4=Y", "Y", {}, undefined, []],
    ["an exclusive or of equal inputs", "U1:74LS86 1=+5V 2=+5V 3=Y", "Y", {}, 0, []],
    [
      "a disabled tri-state output with a pull-up",
      "U1:74LS125 1=+5V 2=GND 3=Y; R1:resistor 1=+5V 2=Y",
      "Y",
      {},
      1,
      [],
    ],
    ["an enabled tri-state output", "U1:74LS125 1=GND 2=GND 3=Y; R1:resistor 1=+5V 2=Y", "Y", {}, 0, []],
    [
      "open collectors, one of them low",
      "U1:74LS05 1=+5V 2=Y 3=GND 4=Y; R1:resistor 1=+5V 2=Y",
      "Y",
      {},
      0,
      [],
    ],
    ["open collectors, all released", "U1:74LS05 1=GND 2=Y 3=GND 4=Y; R1:resistor 1=+5V 2=Y", "Y", {}, 1, []],
    [
      "a decoder with its address known",
      "U1:74LS138 1=GND 2=+5V 3=GND 4=GND 5=GND 6=+5V 13=Y",
      "Y",
      {},
      0,
      [],
    ],
    ["a decoder that is not enabled", "U1:74LS138 1=A 4=+5V 13=Y; J1:connector 1=A", "Y", {}, 1, ["A"]],
    ["a register, which logic cannot follow", "U1:74LS74 3=A 2=B 5=Q", "Q", {}, undefined, ["Q"]],
    ["a net nothing drives", "U1:74LS00 1=A", "A", {}, undefined, []],
  ])("%s", (_, text, net, given, expected, open) => {
    expect(level(text, net, given)).toEqual([expected, open]);
  });

  it("has a bound on how deep it looks", () => {
    const inverters = Array.from({ length: 2000 }, (_, i) => `U${i}:74LS04 1=N${i} 2=N${i + 1}`).join(";");
    expect(level(`${inverters}; J1:connector 1=N0`, "N2000", { N0: 1 })[0]).toBeUndefined();
    expect(level(`${inverters}; J1:connector 1=N0`, "N10", { N0: 1 })[0]).toBe(1);
  });
});

describe("solving for levels", () => {
  const text =
    "U1:74LS138 1=A 2=B 3=C 4=D 5=D 6=E 15=Y0 10=Y5; U2:74LS04 1=Y5 2=S; J1:connector 1=A 2=B 3=C 4=D 5=E";
  const board = tinyBoard(text);
  const parts = typed(board);
  const model = new NetLevels(board, parts);
  const inverter = parts.find(({ part }) => part.ref === "U2");

  const solve = (wanted: 0 | 1, mayTry: (net: string) => boolean = () => true, evaluations = 10_000) => {
    if (inverter === undefined) throw new Error("no inverter");
    const wishes = [{ typed: inverter, expression: "1Y", wanted }];
    const found = solveLevels(model, wishes, new Map(), {
      mayTry,
      firstTry: () => 0,
      budget: { evaluations },
    });
    return found === undefined ? undefined : Object.fromEntries(found);
  };

  it("finds the one selection that does it", () => {
    expect(solve(1)).toEqual({ A: 1, B: 0, C: 1, D: 0, E: 1 });
  });

  it("leaves alone what does not matter", () => {
    expect(solve(0)).toEqual({ E: 0 });
  });

  it("gives up where it may not try, and where the budget ends", () => {
    expect(solve(1, (net) => net !== "E")).toBeUndefined();
    expect(solve(1, () => true, 3)).toBeUndefined();
  });
});

const z80 =
  "U1:Z80 6=CLK 11=+5V 14=D0 15=D1 12=D2 8=D3 7=D4 9=D5 10=D6 13=D7 29=GND 30=A0 31=A1 4=A14 5=A15 19=/MREQ 20=/IORQ 21=/RD 22=/WR 26=/RESET 16=/INT 17=/NMI 24=/WAIT 25=/BUSREQ 27=/M1";
const pulls =
  "R1:resistor 1=+5V 2=/WAIT; R2:resistor 1=+5V 2=/BUSREQ; R3:resistor 1=+5V 2=/NMI; R4:resistor 1=+5V 2=/INT; SW1:push-button 1=/RESET 2=GND; R5:resistor 1=+5V 2=/RESET";
const data = (pins: readonly string[]): string => pins.map((pin, i) => `${pin}=D${i}`).join(" ");
const rom = `U2:2764 ${data(["11", "12", "13", "15", "16", "17", "18", "19"])} 20=/ROM 22=/RD 28=+5V 14=GND`;
const ram = `U3:6264 ${data(["11", "12", "13", "15", "16", "17", "18", "19"])} 20=/RAM 26=+5V 22=/RD 27=/WR 28=+5V 14=GND`;
const decoder =
  "U4:74LS138 1=A14 2=A15 3=GND 4=/MREQ 5=GND 6=+5V 15=/ROM 13=/RAM 16=+5V 8=GND; Y1:oscillator-module 8=CLK 7=GND 14=+5V";

describe("planning phases", () => {
  const plan = (text: string, processor: string | undefined) => {
    const board = tinyBoard(text);
    const parts = typed(board);
    const part = parts.find(({ part: { ref } }) => ref === processor);
    const bus = part === undefined ? undefined : ["D0", "D1", "D2", "D3", "D4", "D5", "D6", "D7"];
    const targets = findBusTargets(parts, bus);
    const planned = planPhases({
      board,
      parts,
      processor: part,
      targets,
      isActiveLow: (net) => net.startsWith("/"),
    });
    return { ...planned, memory: guessMemory(targets, planned.ranges).regions };
  };

  it("follows a decoder of true logic from the address to each chip", () => {
    const { phases, memory, steady } = plan([z80, pulls, rom, ram, decoder].join(";"), "U1");
    const short = phases.map(({ id, address, needed, levels }) => [id, address, needed, levels]);
    const quietly = "xxxxxxxxxxxxxxxx";
    expect(short).toEqual([
      ["fetch", "00xxxxxxxxxxxxxx", "start-code", undefined],
      ["memory-read", "10xxxxxxxxxxxxxx", "workspace", undefined],
      ["memory-write", "10xxxxxxxxxxxxxx", "workspace", undefined],
      ["io-read", quietly, "later", undefined],
      ["io-write", quietly, "later", undefined],
      ["refresh", quietly, undefined, undefined],
      ["idle", quietly, undefined, undefined],
    ]);
    expect(steady).toEqual({});
    expect(memory.map(({ id, from, to, chips }) => [id, from, to, chips])).toEqual([
      ["rom-1", "0000", "3FFF", [{ part: "U2", bits: [0, 1, 2, 3, 4, 5, 6, 7] }]],
      ["ram-1", "8000", "BFFF", [{ part: "U3", bits: [0, 1, 2, 3, 4, 5, 6, 7] }]],
    ]);
  });

  it("gives levels to selects that programmable logic drives, so that one chip answers at a time", () => {
    const unknown = "U5:16V8 1=/MREQ 2=A15 19=/ROM 18=/RAM 20=+5V 10=GND";
    const { phases } = plan([z80, pulls, rom, ram, unknown].join(";"), "U1");
    expect(phases.slice(0, 3).map(({ id, levels }) => [id, levels])).toEqual([
      ["fetch", { "/ROM": "low", "/RAM": "high" }],
      ["memory-read", { "/RAM": "low", "/ROM": "high" }],
      ["memory-write", { "/RAM": "low" }],
    ]);
  });

  it("keeps the processor out of reset where only a connector says so", () => {
    const { steady } = plan(
      `${z80}; J1:connector 1=/RESET 2=/WAIT 3=/INT; R1:resistor 1=+5V 2=/BUSREQ; R3:resistor 1=+5V 2=/NMI`,
      "U1",
    );
    expect(steady).toEqual({ "/RESET": "high", "/WAIT": "high", "/INT": "high" });
  });

  it("has a transfer and a pause on a card without a processor", () => {
    const connector = "J1:connector 1=/RAM 2=/RD 3=/WR";
    const { phases, memory } = plan(`${ram}; ${connector}`, undefined);
    expect(phases).toEqual([
      {
        id: "active",
        title: "a transfer",
        cycle: "none",
        levels: { "/RAM": "low", "/RD": "low", "/WR": "high" },
      },
      { id: "quiet", title: "between transfers", cycle: "none", levels: { "/RAM": "high" } },
    ]);
    expect(memory.map(({ from, to }) => [from, to])).toEqual([["0000", "1FFF"]]);
  });

  it("puts a row of one-bit chips in one region, in the order of the bits", () => {
    const chips = ["U9=V1", "U7=V0", "U8=V2"].map((entry) => {
      const [ref, net] = entry.split("=");
      return `${ref}:4164 14=${net} 2=${net} 3=/WE 4=/RAS 15=/CAS 8=+5V 16=GND`;
    });
    const { memory, phases } = plan(`${chips.join(";")}; J1:connector 1=/WE 2=/RAS 3=/CAS`, undefined);
    expect(memory.map(({ to, chips: held }) => [to, held])).toEqual([
      [
        "FFFF",
        [
          { part: "U7", bits: [0] },
          { part: "U9", bits: [1] },
          { part: "U8", bits: [2] },
        ],
      ],
    ]);
    expect(phases[0]?.levels).toEqual({ "/CAS": "low", "/WE": "high", "/RAS": "low" });
  });

  it("counts reset, hold and interrupt inputs as disturbances", () => {
    const processor = { part: tinyBoard(z80).parts[0], type: typeNamed(library, "Z80") };
    if (processor.part === undefined) throw new Error("no processor");
    expect(disturbances({ part: processor.part, type: processor.type })).toHaveLength(5);
  });
});
