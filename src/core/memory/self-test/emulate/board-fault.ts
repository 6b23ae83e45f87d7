import type { Bit, MemoryFault, Wiring } from "../../faults/fault.js";

/** Something wrong with address lines of a bank; lines are numbered as the chips' address pins, 0 first. */
export type LineFault =
  | { readonly kind: "stuck"; readonly line: number; readonly value: Bit; readonly half: LineHalf }
  | {
      readonly kind: "shorted";
      readonly line: number;
      readonly other: number;
      readonly wiring: Wiring;
      readonly half: LineHalf;
    };

/** What of a multiplexed line is wrong: behind the multiplexer both, before it only one. */
export type LineHalf = "row" | "column" | "both";

/** A fault within one bank of memory. */
export type MemoryBoardFault =
  /** Cells or decoder of one chip; `cell`, `aggressor`, `victim`, `x` and `y` are processor addresses. */
  | { readonly kind: "cell"; readonly part: string; readonly bit: number; readonly fault: MemoryFault }
  /** Everything the chip gives out is 0 or 1. */
  | { readonly kind: "output"; readonly part: string; readonly value: Bit }
  /** An address pin of one chip. */
  | { readonly kind: "chip-address-pin"; readonly part: string; readonly line: LineFault }
  /** An address line of all chips of the bank. */
  | { readonly kind: "address-line"; readonly bank: number; readonly line: LineFault }
  | { readonly kind: "data-line"; readonly bank: number; readonly bit: number; readonly value: Bit }
  | {
      readonly kind: "data-bridge";
      readonly bank: number;
      readonly bit: number;
      readonly other: number;
      readonly wiring: Wiring;
    }
  | {
      readonly kind: "no-strobe";
      readonly bank: number;
      readonly role: "row strobe" | "column strobe" | "write";
    };

/** A fault of the memory side of a board. */
export type BoardFault =
  | MemoryBoardFault
  /** No bank answers at all. */
  | { readonly kind: "all-dead" }
  /** One bit of the ROM that holds the self-test reads inverted. */
  | { readonly kind: "rom-bit"; readonly address: number; readonly bit: number }
  /** Every byte of the ROM reads with the bits of a mask stuck. */
  | { readonly kind: "rom-output"; readonly bits: number; readonly value: Bit }
  /** Nobody refreshes; a row keeps its charge for so long. */
  | { readonly kind: "no-refresh"; readonly chargeSeconds: number }
  /** Chips that want 256 rows stand where 128 are refreshed. */
  | { readonly kind: "more-rows"; readonly chargeSeconds: number };
