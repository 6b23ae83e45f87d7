/** Devices whose fuse files can be read. */
export const fuseDevices = ["PAL16L8", "PAL16R4", "PAL16R6", "PAL16R8", "PAL20L8", "GAL16V8"] as const;
export type FuseDevice = (typeof fuseDevices)[number];

/** How the fuses of a device lie: rows of product terms, each with a fuse for every pin and its complement. */
export interface ArrayMap {
  /** Pins in the order of their pairs of columns; the first of a pair is the pin, the second its complement. */
  readonly columns: readonly number[];
  /** Output pins in the order of their rows, eight to each. */
  readonly outputs: readonly number[];
  /** Output pins behind a register that takes its sum at the clock. */
  readonly registered: readonly number[];
}

const termsOfOutput = 8;
const outputs16 = [19, 18, 17, 16, 15, 14, 13, 12];
/** Where pins 1 and 11 go into the array. */
const combinational16 = [2, 1, 3, 18, 4, 17, 5, 16, 6, 15, 7, 14, 8, 13, 9, 11];
/** Where pin 1 is the clock and pin 11 the output enable. */
const registered16 = [2, 19, 3, 18, 4, 17, 5, 16, 6, 15, 7, 14, 8, 13, 9, 12];
/** Where outputs are always on, and those of pins 15 and 16 do not come back. */
const simple16 = [2, 1, 3, 19, 4, 18, 5, 17, 6, 14, 7, 13, 8, 12, 9, 11];

/** Maps of the bipolar devices. Logic diagrams of their data sheets; from memory. */
export const arrayMaps: Readonly<Record<Exclude<FuseDevice, "GAL16V8">, ArrayMap>> = {
  PAL16L8: { columns: combinational16, outputs: outputs16, registered: [] },
  PAL16R4: { columns: registered16, outputs: outputs16, registered: [17, 16, 15, 14] },
  PAL16R6: { columns: registered16, outputs: outputs16, registered: [18, 17, 16, 15, 14, 13] },
  PAL16R8: { columns: registered16, outputs: outputs16, registered: outputs16 },
  PAL20L8: {
    columns: [2, 1, 3, 23, 4, 21, 5, 20, 6, 19, 7, 18, 8, 17, 9, 16, 10, 14, 11, 13],
    outputs: [22, 21, 20, 19, 18, 17, 16, 15],
    registered: [],
  },
};

/** Fuses of the GAL16V8 beyond its array of 2048: polarity, kind of output cell, terms in use, mode. */
export const gal16v8 = {
  fuses: 2194,
  polarity: 2048,
  cell: 2120,
  termInUse: 2128,
  synchronous: 2192,
  shared: 2193,
  outputs: outputs16,
  columns: { simple: simple16, complex: combinational16, registered: registered16 },
} as const;

/** Product terms of each output. */
export const termsPerOutput = termsOfOutput;

/** Fuses of a device. */
export function fusesOf(device: FuseDevice): number {
  if (device === "GAL16V8") return gal16v8.fuses;
  const { columns, outputs } = arrayMaps[device];
  return columns.length * 2 * outputs.length * termsOfOutput;
}
