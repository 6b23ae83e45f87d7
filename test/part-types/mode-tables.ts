/** What a chip does with its data pins. */
export type Mode = "read" | "write" | "rest";

/**
 * A mode table as data books print it: control pins, then rows of levels (L, H, X for either) with what the chip does.
 * Together the rows cover every combination of levels exactly once.
 */
export interface ModeTable {
  readonly pins: string;
  readonly rows: readonly (readonly [levels: string, mode: Mode])[];
}

const dynamic: ModeTable = {
  pins: "/CAS /WE",
  rows: [
    ["HX", "rest"],
    ["LH", "read"],
    ["LL", "write"],
  ],
};
const dynamicWithEnable: ModeTable = {
  pins: "/CAS /OE /WE",
  rows: [
    ["HXX", "rest"],
    ["LXL", "write"],
    ["LHH", "rest"],
    ["LLH", "read"],
  ],
};
const staticWithEnable: ModeTable = {
  pins: "/CS /OE /WE",
  rows: [
    ["HXX", "rest"],
    ["LXL", "write"],
    ["LHH", "rest"],
    ["LLH", "read"],
  ],
};
const twoEnables = (first: string, second: string): ModeTable => ({
  pins: `${first} ${second}`,
  rows: [
    ["HX", "rest"],
    ["LH", "rest"],
    ["LL", "read"],
  ],
});
const registerFile: ModeTable = {
  pins: "/GR /GW",
  rows: [
    ["LX", "read"],
    ["HL", "write"],
    ["HH", "rest"],
  ],
};

/** Mode tables of the memories, from memory of their data books. A register file reads and writes at once. */
export const memoryModes: Readonly<Record<string, ModeTable>> = {
  "2114": {
    pins: "/CS /WE",
    rows: [
      ["HX", "rest"],
      ["LH", "read"],
      ["LL", "write"],
    ],
  },
  "2118": dynamic,
  "23128": twoEnables("/CE", "/OE"),
  "2332": {
    pins: "/CS1 CS2",
    rows: [
      ["LH", "read"],
      ["LL", "rest"],
      ["HX", "rest"],
    ],
  },
  "23256": twoEnables("/CE", "/OE"),
  "2364": {
    pins: "/CS",
    rows: [
      ["L", "read"],
      ["H", "rest"],
    ],
  },
  "2716": twoEnables("/CE_PGM", "/OE"),
  "27128": twoEnables("/CE", "/OE"),
  "2732": twoEnables("/CE", "/OE_VPP"),
  "27256": twoEnables("/CE", "/OE"),
  "27512": twoEnables("/CE", "/OE_VPP"),
  "2764": twoEnables("/CE", "/OE"),
  "39F040": {
    pins: "/CE /OE /WE",
    rows: [
      ["HXX", "rest"],
      ["LHX", "rest"],
      ["LLL", "rest"],
      ["LLH", "read"],
    ],
  },
  "4116": dynamic,
  "41256": dynamic,
  "4164": dynamic,
  "4416": dynamicWithEnable,
  "4464": dynamicWithEnable,
  "6116": staticWithEnable,
  "62256": staticWithEnable,
  "6264": {
    pins: "/CS1 CS2 /OE /WE",
    rows: [
      ["HXXX", "rest"],
      ["LLXX", "rest"],
      ["LHXL", "write"],
      ["LHHH", "rest"],
      ["LHLH", "read"],
    ],
  },
  "628512": staticWithEnable,
  "74HC670": registerFile,
  "74LS670": registerFile,
};

const strobes: ModeTable = {
  pins: "/CS /RD /WR",
  rows: [
    ["HXX", "rest"],
    ["LHH", "rest"],
    ["LLH", "read"],
    ["LHL", "write"],
  ],
};
const z80Family: ModeTable = {
  pins: "/CE /IORQ /M1 /RD",
  rows: [
    ["HXXX", "rest"],
    ["LHXX", "rest"],
    ["LLLX", "rest"],
    ["LLHL", "read"],
    ["LLHH", "write"],
  ],
};

/**
 * Mode tables of the peripherals, from memory of their data books. Combinations the data books forbid (read and write
 * strobe at once) are left out.
 */
export const peripheralModes: Readonly<Record<string, ModeTable>> = {
  "6522": {
    pins: "CS1 /CS2 PHI2 R_/W",
    rows: [
      ["LXXX", "rest"],
      ["HHXX", "rest"],
      ["HLLX", "rest"],
      ["HLHH", "read"],
      ["HLHL", "write"],
    ],
  },
  "6532": {
    pins: "CS1 /CS2 PHI2 R_/W",
    rows: [
      ["LXXX", "rest"],
      ["HHXX", "rest"],
      ["HLLX", "rest"],
      ["HLHH", "read"],
      ["HLHL", "write"],
    ],
  },
  "6551": {
    pins: "CS0 /CS1 PHI2 R_/W",
    rows: [
      ["LXXX", "rest"],
      ["HHXX", "rest"],
      ["HLLX", "rest"],
      ["HLHH", "read"],
      ["HLHL", "write"],
    ],
  },
  "6821": {
    pins: "CS0 CS1 /CS2 E R_/W",
    rows: [
      ["LXXXX", "rest"],
      ["HLXXX", "rest"],
      ["HHHXX", "rest"],
      ["HHLLX", "rest"],
      ["HHLHH", "read"],
      ["HHLHL", "write"],
    ],
  },
  "6845": {
    pins: "/CS E R_/W",
    rows: [
      ["HXX", "rest"],
      ["LLX", "rest"],
      ["LHH", "read"],
      ["LHL", "write"],
    ],
  },
  "6850": {
    pins: "CS0 CS1 /CS2 E R_/W",
    rows: [
      ["LXXXX", "rest"],
      ["HLXXX", "rest"],
      ["HHHXX", "rest"],
      ["HHLLX", "rest"],
      ["HHLHH", "read"],
      ["HHLHL", "write"],
    ],
  },
  "8251": strobes,
  "8253": strobes,
  "8255": strobes,
  "9918A": {
    pins: "/CSR /CSW",
    rows: [
      ["HH", "rest"],
      ["LH", "read"],
      ["HL", "write"],
    ],
  },
  "Z80-CTC": z80Family,
  "Z80-PIO": z80Family,
  "Z80-SIO": z80Family,
};

/** Every combination of levels a row stands for, by pin name. */
export function levelsOfRow(table: ModeTable, levels: string): ReadonlyMap<string, boolean>[] {
  const pins = table.pins.split(" ");
  let found: Map<string, boolean>[] = [new Map()];
  for (const [i, pin] of pins.entries()) {
    const symbol = levels[i];
    const choices = symbol === "X" ? [false, true] : [symbol === "H"];
    found = found.flatMap((levelsSoFar) => choices.map((high) => new Map([...levelsSoFar, [pin, high]])));
  }
  return found;
}
