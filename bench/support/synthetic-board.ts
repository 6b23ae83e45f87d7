import type { Board } from "../../src/core/board/board.js";
import { tinyBoard } from "../../test/support/tiny-board.js";

/** Parts of the processor's own section, and of one group that hangs on its bus. */
const sectionsInGroup = 7;

/** Groups the selects reach. */
export const mostGroups = 8;

const bits = [0, 1, 2, 3, 4, 5, 6, 7];

/** Chips of a board text with their decoupling capacitors, numbered as they come. */
class Parts {
  private readonly lines: string[] = [];
  private chips = 0;

  /** Adds a chip and its capacitor; supply pins are given with the rest. */
  chip(type: string, pins: string): void {
    this.chips += 1;
    this.lines.push(`U${this.chips}:${type} ${pins}`);
    this.lines.push(`C${this.chips}:capacitor-ceramic 1=+5V 2=GND`);
  }

  add(line: string): void {
    this.lines.push(line);
  }

  text(): string {
    return this.lines.join("; ");
  }
}

const ttl14 = "7=GND 14=+5V";
const ttl16 = "8=GND 16=+5V";
const ttl20 = "10=GND 20=+5V";

/**
 * A made-up machine that grows by equal groups: a Z80 with ROM and RAM, and behind it 1 to 8 groups of about a hundred
 * parts, each with a buffer to a bus of its own and seven sections of latch, gates, counter and read buffer.
 * Throws `RangeError` for another number of groups.
 */
export function syntheticBoard(groups: number): Board {
  if (!Number.isInteger(groups) || groups < 1 || groups > mostGroups)
    throw new RangeError(`groups must be 1 to ${mostGroups}, got ${groups}`);
  const parts = new Parts();
  addProcessor(parts);
  for (let group = 0; group < groups; group += 1) addGroup(parts, group);
  return tinyBoard(parts.text(), {
    id: `synthetic-${groups}`,
    title: `Synthetic ${groups}`,
    phases: [
      {
        id: "fetch",
        title: "fetch from ROM",
        cycle: "fetch",
        address: "0xxxxxxxxxxxxxxx",
        needed: "start-code",
      },
      {
        id: "read",
        title: "read RAM",
        cycle: "memory-read",
        address: "1xxxxxxxxxxxxxxx",
        needed: "workspace",
      },
      {
        id: "write",
        title: "write RAM",
        cycle: "memory-write",
        address: "1xxxxxxxxxxxxxxx",
        needed: "workspace",
      },
      { id: "in", title: "read a section", cycle: "io-read", address: "xxxxxxxxxx000000", needed: "later" },
      {
        id: "out",
        title: "write a section",
        cycle: "io-write",
        address: "xxxxxxxxxx000000",
        needed: "later",
      },
      { id: "idle", title: "nothing on the bus", cycle: "idle" },
    ],
    steady: { RC: "high" },
    chain: { memoryFigure: false, lamp: ["+5V"] },
  });
}

function addProcessor(parts: Parts): void {
  const { chip, add } = { chip: parts.chip.bind(parts), add: parts.add.bind(parts) };
  add("PSU1:outside-supply 1=GND 2=+5V");
  add("X1:oscillator-module 7=GND 8=CLK 14=+5V");
  add("R1:resistor 1=RC 2=+5V");
  add("C900:capacitor-aluminium 1=RC 2=GND");
  add("R2:resistor 1=TIE 2=+5V");
  chip(
    "Z80",
    `6=CLK 11=+5V 29=GND 26=/RESET 16=TIE 17=TIE 24=TIE 25=TIE 19=/MREQ 20=/IORQ 21=/RD 22=/WR 27=/M1
     14=D0 15=D1 12=D2 8=D3 7=D4 9=D5 10=D6 13=D7 30=A0 31=A1 32=A2 33=A3 34=A4 35=A5 36=A6 37=A7
     38=A8 39=A9 40=A10 1=A11 2=A12 3=A13 4=A14 5=A15`,
  );
  const memory =
    "8=A0 7=A1 6=A2 5=A3 4=A4 3=A5 2=A6 1=A7 23=A8 22=A9 19=A10 9=D0 10=D1 11=D2 13=D3 14=D4 15=D5 16=D6 17=D7";
  chip("2732", `${memory} 21=A11 18=/ROM 20=/RD 12=GND 24=+5V`);
  chip("6116", `${memory} 18=/RAM 20=/RD 21=/WR 12=GND 24=+5V`);
  chip("74LS32", `1=A15 2=/MREQ 3=/ROM 4=/A15 5=/MREQ 6=/RAM ${ttl14}`);
  chip("74LS14", `1=RC 2=RESET 3=RESET 4=/RESET 5=A15 6=/A15 ${ttl14}`);
  const groups = bits.map((bit) => `${15 - bit - (bit === 7 ? 1 : 0)}=/G${bit}`).join(" ");
  chip("74LS138", `1=A3 2=A4 3=A5 4=/IORQ 5=GND 6=/M1 ${groups} ${ttl16}`);
}

function addGroup(parts: Parts, group: number): void {
  const local = (name: string): string => `${name}.${group}`;
  const buffered = bits.map((bit) => `${2 + bit}=D${bit} ${18 - bit}=${local(`L${bit}`)}`).join(" ");
  parts.chip("74LS245", `1=/RD 19=/G${group} ${buffered} ${ttl20}`);
  const selects = bits.slice(0, sectionsInGroup).map((s) => `${15 - s}=${local(`/S${s}`)}`);
  parts.chip("74LS138", `1=A0 2=A1 3=A2 4=/G${group} 5=GND 6=TIE ${selects.join(" ")} ${ttl16}`);
  for (let section = 0; section < sectionsInGroup; section += 1) addSection(parts, group, section);
}

function addSection(parts: Parts, group: number, section: number): void {
  const own = (name: string): string => `${name}.${group}.${section}`;
  const bus = (bit: number): string => `L${bit}.${group}`;
  const select = `/S${section}.${group}`;
  parts.chip("74LS32", `1=${select} 2=/WR 3=${own("/W")} 4=${select} 5=/RD 6=${own("/R")} ${ttl14}`);
  const latched = [
    [3, 2],
    [4, 5],
    [7, 6],
    [8, 9],
    [13, 12],
    [14, 15],
    [17, 16],
    [18, 19],
  ].map(([d, q], bit) => `${d}=${bus(bit)} ${q}=${own(`Q${bit}`)}`);
  parts.chip("74LS374", `1=GND 11=${own("/W")} ${latched.join(" ")} ${ttl20}`);
  const gates = (names: readonly string[]): string => {
    const pins = ["1 2 3", "4 5 6", "9 10 8", "12 13 11"];
    return pins
      .map((text, i) => {
        const [a, b, y] = text.split(" ");
        const [left = "", right = "", out = ""] = (names[i] ?? "").split(" ");
        return `${a}=${own(left)} ${b}=${own(right)} ${y}=${own(out)}`;
      })
      .join(" ");
  };
  parts.chip("74LS00", `${gates(["Q0 Q1 N0", "Q2 Q3 N1", "Q4 Q5 N2", "Q6 Q7 N3"])} ${ttl14}`);
  parts.chip("74LS86", `${gates(["N0 N1 X0", "N2 N3 X1", "X0 X1 X2", "X2 K3 X3"])} ${ttl14}`);
  parts.chip("74LS04", `1=${own("X0")} 2=${own("I0")} 3=${own("X1")} 4=${own("I1")} ${ttl14}`);
  const counted = `3=${own("K0")} 4=${own("K1")} 5=${own("K2")} 6=${own("K3")} 8=${own("K7")} 11=${own("K4")}`;
  parts.chip("74LS393", `1=CLK 2=GND ${counted} 12=GND 13=${own("K3")} ${ttl14}`);
  const read = ["X0", "X1", "X2", "X3", "I0", "I1", "K4", "K7"];
  const pins = [
    [2, 18],
    [4, 16],
    [6, 14],
    [8, 12],
    [11, 9],
    [13, 7],
    [15, 5],
    [17, 3],
  ].map(([a, y], bit) => `${a}=${own(read[bit] ?? "")} ${y}=${bus(bit)}`);
  parts.chip("74LS244", `1=${own("/R")} 19=${own("/R")} ${pins.join(" ")} ${ttl20}`);
}
