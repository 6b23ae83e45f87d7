const scale = new Map([
  ["p", 1e-6],
  ["n", 1e-3],
  ["u", 1],
  ["µ", 1],
  ["μ", 1],
  ["m", 1e3],
]);

/**
 * Capacitance in microfarad from a printed value such as `100n`, `4n7`, `2u2`, `1000u 10 V`, `0.1uF`;
 * undefined if the text holds none.
 */
export function parseMicrofarad(value: string): number | undefined {
  const match = /(?:^|\s)(\d+(?:\.\d+)?)\s?([pnuµμm])(\d*)F?(?=$|\s|,|\/)/i.exec(value);
  if (match === null) return undefined;
  const [, whole = "", prefix = "", decimals = ""] = match;
  const factor = scale.get(prefix) ?? scale.get(prefix.toLowerCase());
  if (factor === undefined) return undefined;
  const number = decimals === "" ? Number(whole) : Number(`${whole}.${decimals}`);
  return number > 0 ? number * factor : undefined;
}

/** Rated voltage from a printed value such as `1000u 10 V`; undefined if the text holds none. */
export function parseRatedVolt(value: string): number | undefined {
  const match = /(\d+(?:\.\d+)?)\s?V\b/.exec(value);
  const volt = Number(match?.[1] ?? Number.NaN);
  return volt > 0 ? volt : undefined;
}

/** Rated power in watt from a printed value such as `47 2 W` or `1/4 W`; undefined if the text holds none. */
export function parseWatt(value: string): number | undefined {
  const match = /(\d+(?:\.\d+)?)(?:\/(\d+))?\s?W\b/.exec(value);
  if (match === null) return undefined;
  const watt = Number(match[1]) / Number(match[2] ?? 1);
  return watt > 0 && Number.isFinite(watt) ? watt : undefined;
}
