const scale: Readonly<Record<string, number>> = {
  p: 1e-12,
  n: 1e-9,
  u: 1e-6,
  µ: 1e-6,
  μ: 1e-6,
  m: 1e-3,
  k: 1e3,
  K: 1e3,
  M: 1e6,
  G: 1e9,
};

/** Capacitance of a printed value: `100n`, `0.1u`, `22P`, `4n7`, `470uF`; undefined if it is none. */
export function readFarad(printed: string): number | undefined {
  // A lone letter P or U is a prefix whatever its case; only M would be unclear, and no such capacitor exists.
  const text = printed.trim().replace(/[PNU]/g, (letter) => letter.toLowerCase());
  const match = /^([0-9]{1,6})(?:\.([0-9]{1,4}))? ?([pnuµμm])([0-9]{0,2})[fF]?(?:[ /].*)?$/.exec(text);
  if (match === null) return undefined;
  const [, whole = "", decimals, prefix = "", after = ""] = match;
  const fraction = decimals ?? after;
  return Number(`${whole}.${fraction === "" ? "0" : fraction}`) * (scale[prefix] ?? Number.NaN);
}

/** Frequency of a printed value: `10MHz`, `1.8432 MHz`, `32.768k`; undefined if it is none. */
export function readHertz(printed: string): number | undefined {
  const match = /^([0-9]{1,9})(?:[.,]([0-9]{1,9}))? ?([kKM]?)(?:[hH][zZ])?$/.exec(printed.trim());
  if (match === null) return undefined;
  const [, whole = "", decimals = "0", prefix = ""] = match;
  const hertz = Number(`${whole}.${decimals}`) * (prefix === "" ? 1 : (scale[prefix] ?? Number.NaN));
  return hertz > 0 ? hertz : undefined;
}

/** Voltage in the name of a supply net: `+5V`, `-12V`, `3V3`, `+12`; undefined if it names none. */
export function readVolt(name: string): number | undefined {
  const match = /^([+-])?([0-9]{1,2})(?:[.V]([0-9]{1,2}))?(V)?$/i.exec(name.trim());
  if (match === null) return undefined;
  const [whole, sign, volts = "", tenths = "0"] = match;
  if (sign === undefined && !/v/i.test(whole)) return undefined;
  return (sign === "-" ? -1 : 1) * Number(`${volts}.${tenths}`);
}
