/** Why a core no longer runs. */
export interface CpuStop {
  readonly kind: "undefined-opcode" | "halted";
  /** Address of the opcode. */
  readonly address: number;
  /** One sentence. */
  readonly reason: string;
}

/** A byte of a register or of the bus in hexadecimal. */
export function hexByte(value: number): string {
  return value.toString(16).toUpperCase().padStart(2, "0");
}

/** An address in hexadecimal. */
export function hexWord(value: number): string {
  return value.toString(16).toUpperCase().padStart(4, "0");
}
