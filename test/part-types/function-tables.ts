/** Levels by pin name, high = true. */
export type Levels = ReadonlyMap<string, boolean>;

/** What a data book's function table says of one output: its level, or off. */
export type Output = boolean | "off";

/** A part's function table, written out as arithmetic on its inputs. */
export type FunctionTable = (level: (pin: string) => boolean) => Record<string, Output>;

type LevelOf = (pin: string) => boolean;

const range = (from: number, to: number): number[] =>
  Array.from({ length: to - from + 1 }, (_, i) => from + i);

/** Binary number on pins, least significant first. */
function numberOn(level: LevelOf, ...pins: readonly string[]): number {
  return pins.reduce((sum, pin, i) => sum + (level(pin) ? 2 ** i : 0), 0);
}

/** How many of the pins are high. */
const highs = (level: LevelOf, pins: readonly string[]): number => pins.filter((pin) => level(pin)).length;

/** The same gate several times; `highs` and number of its inputs decide its output. */
function gates(
  inputs: readonly string[],
  units: number,
  high: (highs: number, inputs: number) => boolean,
): FunctionTable {
  return (level) =>
    Object.fromEntries(
      range(1, units).map((unit) => {
        const pins = inputs.map((input) => `${unit}${input}`);
        return [`${unit}Y`, high(highs(level, pins), pins.length)];
      }),
    );
}

const nand = (n: number, of: number): boolean => n < of;
const and = (n: number, of: number): boolean => n === of;
const or = (n: number): boolean => n > 0;
const nor = (n: number): boolean => n === 0;

/** One output of `count` goes low, the one whose number is on the address pins, if enabled. */
function decoder(
  name: (k: number) => string,
  count: number,
  address: readonly string[],
  on: (level: LevelOf) => boolean,
): FunctionTable {
  return (level) => {
    const chosen = numberOn(level, ...address);
    return Object.fromEntries(range(0, count - 1).map((k) => [name(k), !(on(level) && k === chosen)]));
  };
}

function both(...tables: readonly FunctionTable[]): FunctionTable {
  return (level) => Object.assign({}, ...tables.map((table) => table(level)));
}

const quad = ["A", "B"];
const triple = ["A", "B", "C"];
const dual = ["A", "B", "C", "D"];

const inverter6 = gates(["A"], 6, nor);
const buffer6 = gates(["A"], 6, or);
const nand4 = gates(quad, 4, nand);
const or4 = gates(quad, 4, or);

const decimal = decoder(
  (k) => `/Y${k}`,
  10,
  ["A", "B", "C", "D"],
  () => true,
);
const dualDecoder = both(
  ...[1, 2].map((h) =>
    decoder(
      (k) => `/${h}Y${k}`,
      4,
      [`${h}A`, `${h}B`],
      (level) => !level(`/${h}G`),
    ),
  ),
);

/** Two multiplexers of four inputs with a common address. */
const dualMultiplexer =
  (whenOff: Output): FunctionTable =>
  (level) =>
    Object.fromEntries(
      [1, 2].map((h) => [`${h}Y`, level(`/${h}G`) ? whenOff : level(`${h}C${numberOn(level, "A", "B")}`)]),
    );

/** Four multiplexers of two inputs: /A_B low takes A, high takes B. */
const quadMultiplexer =
  (whenOff: Output, inverting: boolean): FunctionTable =>
  (level) =>
    Object.fromEntries(
      range(1, 4).map((k) => {
        const taken = level("/A_B") ? level(`${k}B`) : level(`${k}A`);
        return [`${k}Y`, level("/G") ? whenOff : inverting ? !taken : taken];
      }),
    );

/** Octal buffers in two halves of four. */
const halves =
  (inverting: boolean, on: (half: number, level: LevelOf) => boolean): FunctionTable =>
  (level) =>
    Object.fromEntries(
      [1, 2].flatMap((h) =>
        range(1, 4).map((k) => [`${h}Y${k}`, on(h, level) ? level(`${h}A${k}`) !== inverting : "off"]),
      ),
    );

/** Buffers numbered straight through with two enables that must both be low. */
const gatedBuffers =
  (count: number): FunctionTable =>
  (level) =>
    Object.fromEntries(
      range(1, count).map((k) => [`Y${k}`, level("/G1") || level("/G2") ? "off" : level(`A${k}`)]),
    );

/** Hex buffers in a group of four and a group of two. */
const fourAndTwo =
  (inverting: boolean): FunctionTable =>
  (level) =>
    Object.fromEntries(
      [...range(1, 4).map((k) => [1, k]), [2, 1], [2, 2]].map(([h, k]) => [
        `${h}Y${k}`,
        level(`/${h}G`) ? "off" : level(`${h}A${k}`) !== inverting,
      ]),
    );

const decoder8 = decoder(
  (k) => `/Y${k}`,
  8,
  ["A", "B", "C"],
  (level) => level("G1") && !level("/G2A") && !level("/G2B"),
);
const twoDecoders = both(
  decoder(
    (k) => `/1Y${k}`,
    4,
    ["A", "B"],
    (level) => level("1C") && !level("/1G"),
  ),
  decoder(
    (k) => `/2Y${k}`,
    4,
    ["A", "B"],
    (level) => !level("/2C") && !level("/2G"),
  ),
);

/**
 * The function table of every purely combinational type, after the tables in the TTL data book (from memory of it),
 * in another form than data/part-types has: counts, numbers and indices in place of gates.
 */
export const functionTables: Readonly<Record<string, FunctionTable>> = {
  "4001": gates(quad, 4, nor),
  "4011": nand4,
  "4069": inverter6,
  "4070": gates(quad, 4, (n) => n === 1),
  "4071": or4,
  "4077": gates(quad, 4, (n) => n !== 1),
  "4081": gates(quad, 4, and),
  "4093": nand4,
  "7400": nand4,
  "7402": gates(quad, 4, nor),
  "7404": inverter6,
  "7406": inverter6,
  "7407": buffer6,
  "7416": inverter6,
  "7417": buffer6,
  "74HCT04": inverter6,
  "74HCT139": dualDecoder,
  "74HCT32": or4,
  "74LS00": nand4,
  "74LS02": gates(quad, 4, nor),
  "74LS04": inverter6,
  "74LS05": inverter6,
  "74LS08": gates(quad, 4, and),
  "74LS10": gates(triple, 3, nand),
  "74LS11": gates(triple, 3, and),
  "74LS125": (level) =>
    Object.fromEntries(range(1, 4).map((k) => [`${k}Y`, level(`/${k}G`) ? "off" : level(`${k}A`)])),
  "74LS126": (level) =>
    Object.fromEntries(range(1, 4).map((k) => [`${k}Y`, level(`${k}G`) ? level(`${k}A`) : "off"])),
  "74LS132": nand4,
  "74LS138": decoder8,
  "74LS139": dualDecoder,
  "74LS14": inverter6,
  "74LS145": decimal,
  "74LS151": (level) => {
    const taken = !level("/G") && level(`D${numberOn(level, "A", "B", "C")}`);
    return { Y: taken, W: !taken };
  },
  "74LS153": dualMultiplexer(false),
  "74LS155": twoDecoders,
  "74LS157": quadMultiplexer(false, false),
  "74LS20": gates(dual, 2, nand),
  "74LS21": gates(dual, 2, and),
  "74LS240": halves(true, (h, level) => !level(`/${h}G`)),
  "74LS241": halves(false, (h, level) => (h === 1 ? !level("/1G") : level("2G"))),
  "74LS244": halves(false, (h, level) => !level(`/${h}G`)),
  "74LS245": (level) => {
    const off = level("/G");
    const toB = level("DIR");
    return Object.fromEntries(
      range(1, 8).flatMap((k): [string, Output][] => [
        [`A${k}`, off || toB ? "off" : level(`B${k}`)],
        [`B${k}`, off || !toB ? "off" : level(`A${k}`)],
      ]),
    );
  },
  "74LS253": dualMultiplexer("off"),
  "74LS257": quadMultiplexer("off", false),
  "74LS258": quadMultiplexer("off", true),
  "74LS27": gates(triple, 3, nor),
  "74LS283": (level) => {
    const operand = (letter: string): number => numberOn(level, ...range(1, 4).map((k) => `${letter}${k}`));
    const sum = operand("A") + operand("B") + (level("C0") ? 1 : 0);
    const bit = (k: number): boolean => Math.floor(sum / 2 ** k) % 2 === 1;
    return { S1: bit(0), S2: bit(1), S3: bit(2), S4: bit(3), C4: bit(4) };
  },
  "74LS30": (level) => ({ Y: highs(level, [..."ABCDEFGH"]) < 8 }),
  "74LS32": or4,
  "74LS365": gatedBuffers(6),
  "74LS367": fourAndTwo(false),
  "74LS368": fourAndTwo(true),
  "74LS38": nand4,
  "74LS42": decimal,
  "74LS51": (level) => ({
    "1Y": highs(level, ["1A", "1B", "1C"]) < 3 && highs(level, ["1D", "1E", "1F"]) < 3,
    "2Y": highs(level, ["2A", "2B"]) < 2 && highs(level, ["2C", "2D"]) < 2,
  }),
  "74LS541": gatedBuffers(8),
  "74LS86": gates(quad, 4, (n) => n === 1),
  "74S04": inverter6,
  "1488": (level) => ({
    "1Y": !level("1A"),
    ...Object.fromEntries([2, 3, 4].map((k) => [`${k}Y`, highs(level, [`${k}A`, `${k}B`]) < 2])),
  }),
  "1489": (level) => Object.fromEntries(range(1, 4).map((k) => [`${k}Y`, !level(`${k}A`)])),
  MAX232: (level) =>
    Object.fromEntries(["T1", "T2", "R1", "R2"].map((unit) => [`${unit}OUT`, !level(`${unit}IN`)])),
  "7408": gates(quad, 4, and),
  "7432": or4,
  "74LS03": nand4,
  "74LS09": gates(quad, 4, and),
  "74LS12": gates(triple, 3, nand),
  "74LS136": gates(quad, 4, (n) => n === 1),
  "74LS15": gates(triple, 3, and),
  "74LS158": quadMultiplexer(true, true),
  "74LS22": gates(dual, 2, nand),
  "74LS251": (level) => {
    const taken = level(`D${numberOn(level, "A", "B", "C")}`);
    return level("/G") ? { Y: "off", W: "off" } : { Y: taken, W: !taken };
  },
  "74LS26": nand4,
  "74LS28": gates(quad, 4, nor),
  "74LS33": gates(quad, 4, nor),
  "74LS366": (level) =>
    Object.fromEntries(
      range(1, 6).map((k) => [`Y${k}`, level("/G1") || level("/G2") ? "off" : !level(`A${k}`)]),
    ),
  "74LS37": nand4,
  "74LS40": gates(dual, 2, nand),
  "74LS540": (level) =>
    Object.fromEntries(
      range(1, 8).map((k) => [`Y${k}`, level("/G1") || level("/G2") ? "off" : !level(`A${k}`)]),
    ),
  "74S138": decoder8,
  "74LS156": twoDecoders,
  "74S00": nand4,
  "74S08": gates(quad, 4, and),
  "74S157": quadMultiplexer(false, false),
  "74S32": or4,
};
