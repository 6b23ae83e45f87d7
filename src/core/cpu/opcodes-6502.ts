/** Addressing modes of the 6502, named as its maker does, in short. */
export type Mode6502 =
  | "implied"
  | "accumulator"
  | "immediate"
  | "zero"
  | "zero,x"
  | "zero,y"
  | "absolute"
  | "absolute,x"
  | "absolute,y"
  | "(zero,x)"
  | "(zero),y"
  | "indirect"
  | "relative";

/** An instruction of the 6502: its mnemonic and addressing mode. */
export interface Opcode6502 {
  readonly name: string;
  readonly mode: Mode6502;
}

/*
 * One row a mnemonic: its opcodes in the order of the columns. Source: MCS6500 Microcomputer Family Programming Manual,
 * MOS Technology, 1976, appendix B, from memory; compared in the tests with an independent core.
 */
const groups: readonly (readonly [readonly Mode6502[], Readonly<Record<string, readonly number[]>>])[] = [
  [
    ["immediate", "zero", "zero,x", "absolute", "absolute,x", "absolute,y", "(zero,x)", "(zero),y"],
    {
      ADC: [0x69, 0x65, 0x75, 0x6d, 0x7d, 0x79, 0x61, 0x71],
      AND: [0x29, 0x25, 0x35, 0x2d, 0x3d, 0x39, 0x21, 0x31],
      CMP: [0xc9, 0xc5, 0xd5, 0xcd, 0xdd, 0xd9, 0xc1, 0xd1],
      EOR: [0x49, 0x45, 0x55, 0x4d, 0x5d, 0x59, 0x41, 0x51],
      LDA: [0xa9, 0xa5, 0xb5, 0xad, 0xbd, 0xb9, 0xa1, 0xb1],
      ORA: [0x09, 0x05, 0x15, 0x0d, 0x1d, 0x19, 0x01, 0x11],
      SBC: [0xe9, 0xe5, 0xf5, 0xed, 0xfd, 0xf9, 0xe1, 0xf1],
    },
  ],
  [
    ["zero", "zero,x", "absolute", "absolute,x", "absolute,y", "(zero,x)", "(zero),y"],
    { STA: [0x85, 0x95, 0x8d, 0x9d, 0x99, 0x81, 0x91] },
  ],
  [
    ["zero", "zero,x", "absolute", "absolute,x", "accumulator"],
    {
      ASL: [0x06, 0x16, 0x0e, 0x1e, 0x0a],
      DEC: [0xc6, 0xd6, 0xce, 0xde],
      INC: [0xe6, 0xf6, 0xee, 0xfe],
      LSR: [0x46, 0x56, 0x4e, 0x5e, 0x4a],
      ROL: [0x26, 0x36, 0x2e, 0x3e, 0x2a],
      ROR: [0x66, 0x76, 0x6e, 0x7e, 0x6a],
    },
  ],
  [
    ["zero", "absolute", "immediate"],
    { BIT: [0x24, 0x2c], CPX: [0xe4, 0xec, 0xe0], CPY: [0xc4, 0xcc, 0xc0] },
  ],
  [["immediate", "zero", "zero,y", "absolute", "absolute,y"], { LDX: [0xa2, 0xa6, 0xb6, 0xae, 0xbe] }],
  [["immediate", "zero", "zero,x", "absolute", "absolute,x"], { LDY: [0xa0, 0xa4, 0xb4, 0xac, 0xbc] }],
  [["zero", "zero,y", "absolute"], { STX: [0x86, 0x96, 0x8e] }],
  [["zero", "zero,x", "absolute"], { STY: [0x84, 0x94, 0x8c] }],
  [["absolute", "indirect"], { JMP: [0x4c, 0x6c], JSR: [0x20] }],
  [
    ["relative"],
    {
      BCC: [0x90],
      BCS: [0xb0],
      BEQ: [0xf0],
      BMI: [0x30],
      BNE: [0xd0],
      BPL: [0x10],
      BVC: [0x50],
      BVS: [0x70],
    },
  ],
  [
    ["implied"],
    {
      BRK: [0x00],
      CLC: [0x18],
      CLD: [0xd8],
      CLI: [0x58],
      CLV: [0xb8],
      DEX: [0xca],
      DEY: [0x88],
      INX: [0xe8],
      INY: [0xc8],
      NOP: [0xea],
      PHA: [0x48],
      PHP: [0x08],
      PLA: [0x68],
      PLP: [0x28],
      RTI: [0x40],
      RTS: [0x60],
      SEC: [0x38],
      SED: [0xf8],
      SEI: [0x78],
      TAX: [0xaa],
      TAY: [0xa8],
      TSX: [0xba],
      TXA: [0x8a],
      TXS: [0x9a],
      TYA: [0x98],
    },
  ],
];

/** [256] the instruction of each opcode; undefined where the maker defines none. */
export const opcodes6502: readonly (Opcode6502 | undefined)[] = (() => {
  const table: (Opcode6502 | undefined)[] = new Array<undefined>(256).fill(undefined);
  for (const [modes, rows] of groups) {
    for (const [name, opcodes] of Object.entries(rows)) {
      for (const [k, opcode] of opcodes.entries()) {
        const mode = modes[k];
        if (mode !== undefined) table[opcode] = { name, mode };
      }
    }
  }
  return table;
})();
