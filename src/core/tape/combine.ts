import { type SoftByte, SoftTape } from "./soft-byte.js";

/** Bytes on each side that takes of a tape may drift apart, and channels of one recording. */
export const takesReach = 96;
export const channelsReach = 16;

/** Cost of a byte that one take has and the other has not, in units of doubt about bits. */
const gapCost = 14;

/**
 * Puts takes of one recording together. Each take is laid along what the takes before it gave, byte by byte, and where
 * two bytes stand side by side the evidence about each bit is added: what one take lost, another one has. Takes need not
 * begin at the same place nor have the same number of bytes. Of each byte, `source` says which take spoke loudest.
 * Times and speeds are those of the take that spoke loudest.
 *
 * Alignment: S. B. Needleman, C. D. Wunsch, J. Mol. Biol. 48, 1970, in a band, with costs from the soft bits.
 */
export function combineTapes(takes: readonly SoftTape[], reach = takesReach): SoftTape {
  const order = takes.map((tape, take) => ({ tape, take })).filter(({ tape }) => tape.length > 0);
  // The take with the least doubt comes first: the others are laid along it.
  order.sort((a, b) => goodBytes(b.tape) - goodBytes(a.tape) || a.take - b.take);
  const [first, ...others] = order;
  if (first === undefined) return new SoftTape();
  let joined = withSource(first.tape, first.take);
  for (const { tape, take } of others) joined = join(joined, tape, { number: take, reach });
  return joined;
}

function goodBytes(tape: SoftTape): number {
  let sum = 0;
  for (let i = 0; i < tape.length; i += 1) sum += 1 - tape.doubt(i);
  return sum;
}

function withSource(tape: SoftTape, take: number): SoftTape {
  const copy = new SoftTape();
  for (let i = 0; i < tape.length; i += 1) copy.push(tape.at(i), take);
  return copy;
}

function join(
  base: SoftTape,
  take: SoftTape,
  { number, reach }: { readonly number: number; readonly reach: number },
): SoftTape {
  const out = new SoftTape();
  for (const [i, j] of align(base, take, reach)) {
    if (i < 0) {
      // A byte of this take alone counts only if it is clear: noise that looks like a byte is not.
      if (take.doubt(j) < 0.01) out.push(take.at(j), number);
    } else if (j < 0) out.push(base.at(i), base.source(i));
    else {
      const a = base.at(i);
      const b = take.at(j);
      const isBase = loudness(a) >= loudness(b);
      const soft = Array.from({ length: 8 }, (_, k) => (a.soft[k] ?? 0) + (b.soft[k] ?? 0));
      const lead = isBase ? a : b;
      out.push(
        { ...lead, soft, frameDoubt: Math.min(a.frameDoubt, b.frameDoubt), beginsRun: a.beginsRun },
        isBase ? base.source(i) : number,
      );
    }
  }
  return out;
}

function loudness({ soft }: SoftByte): number {
  let least = Number.POSITIVE_INFINITY;
  for (let k = 0; k < 8; k += 1) least = Math.min(least, Math.abs(soft[k] ?? 0));
  return least;
}

/** How much two bytes contradict each other: each bit as far as both are sure of it. */
function contradiction(a: SoftTape, i: number, b: SoftTape, j: number): number {
  let sum = 0;
  for (let k = 0; k < 8; k += 1) {
    const x = a.bit(i, k);
    const y = b.bit(j, k);
    if (x > 0 !== y > 0) sum += Math.min(6, Math.abs(x), Math.abs(y));
    else sum -= Math.min(1, Math.abs(x), Math.abs(y));
  }
  return sum;
}

/** Pairs of bytes side by side; -1 where one of the two has none. */
function align(a: SoftTape, b: SoftTape, reach: number): [number, number][] {
  const shift = firstShift(a, b);
  const width = 2 * reach + 1;
  const ways = new Uint8Array((a.length + 1) * width);
  let before = new Float64Array(width).fill(Number.POSITIVE_INFINITY);
  // Column c of row i stands for the first j = i + shift + c - reach bytes of b.
  for (let i = 0; i <= a.length; i += 1) {
    const row = new Float64Array(width).fill(Number.POSITIVE_INFINITY);
    for (let c = 0; c < width; c += 1) {
      const j = i + shift + c - reach;
      if (j < 0 || j > b.length) continue;
      if (i === 0 || j === 0) {
        // Bytes before the other take begins cost nothing.
        row[c] = 0;
        ways[i * width + c] = i === 0 ? 2 : 1;
        continue;
      }
      const both = (before[c] ?? 0) + contradiction(a, i - 1, b, j - 1);
      const onlyA = (before[c + 1] ?? Number.POSITIVE_INFINITY) + (j === b.length ? 0 : gapCost);
      const onlyB = (row[c - 1] ?? Number.POSITIVE_INFINITY) + (i === a.length ? 0 : gapCost);
      const best = Math.min(both, onlyA, onlyB);
      row[c] = best;
      ways[i * width + c] = best === both ? 0 : best === onlyA ? 1 : 2;
    }
    before = row;
  }
  return trace(a.length, b.length, { ways, width, shift, reach, last: before });
}

function trace(
  aLength: number,
  bLength: number,
  found: { ways: Uint8Array; width: number; shift: number; reach: number; last: Float64Array },
): [number, number][] {
  const { ways, width, shift, reach, last } = found;
  const pairs: [number, number][] = [];
  let i = aLength;
  let c = 0;
  for (let k = 1; k < width; k += 1)
    if ((last[k] ?? Number.POSITIVE_INFINITY) < (last[c] ?? Number.POSITIVE_INFINITY)) c = k;
  let j = i + shift + c - reach;
  if (j < 0 || j > bLength) return Array.from({ length: aLength }, (_, k): [number, number] => [k, -1]);
  for (let k = bLength - 1; k >= j; k -= 1) pairs.push([-1, k]);
  while (i > 0 || j > 0) {
    const way = i === 0 ? 2 : j === 0 ? 1 : (ways[i * width + (j - i - shift + reach)] ?? 1);
    if (way === 0) pairs.push([--i, --j]);
    else if (way === 1) pairs.push([--i, -1]);
    else pairs.push([-1, --j]);
  }
  return pairs.reverse();
}

/** How many bytes later the same clear stretch stands in `b` than in `a`; 0 if none is found. */
function firstShift(a: SoftTape, b: SoftTape): number {
  const length = 12;
  const places = new Map<string, number>();
  const keyAt = (tape: SoftTape, at: number): string | undefined => {
    const values: number[] = [];
    for (let k = 0; k < length; k += 1) {
      if (tape.doubt(at + k) > 0.05) return undefined;
      values.push(tape.value(at + k));
    }
    return new Set(values).size < 6 ? undefined : values.join();
  };
  for (let at = 0; at + length <= a.length && at < 4096; at += 1) {
    const key = keyAt(a, at);
    if (key !== undefined && !places.has(key)) places.set(key, at);
  }
  for (let at = 0; at + length <= b.length && at < 4096; at += 1) {
    const key = keyAt(b, at);
    const place = key === undefined ? undefined : places.get(key);
    if (place !== undefined) return at - place;
  }
  return 0;
}
