/** One line of the listing: an instruction, data, or a label alone. */
export interface ListingRow {
  readonly address: number;
  /** Empty for a label alone. */
  readonly bytes: readonly number[];
  readonly label?: string;
  /** Source text in the assembler notation of the processor's maker; empty for a label alone. */
  readonly source: string;
  readonly comment?: string;
}

/** A self-test ready to be put into a chip. */
export interface SelfTestImage {
  readonly instructionSet: "6502" | "z80";
  /** Content of the whole ROM as the processor sees it, unused places filled. */
  readonly bytes: Uint8Array;
  /** Address of the first byte. */
  readonly origin: number;
  /** Bytes of code and tables, without what fills the rest. */
  readonly usedBytes: number;
  /** Of these the bytes of instructions; the rest are tables and texts. */
  readonly codeBytes: number;
  /** In order of address. */
  readonly rows: readonly ListingRow[];
  /** Addresses of labels. */
  readonly symbols: ReadonlyMap<string, number>;
}
