import { checkBytes, checkValue, numberBytes } from "./check-value.js";
import { type BlockLayout, frameBits, type TapeScheme } from "./scheme.js";

/** How a recording is to sound. */
export interface RecordingOptions {
  readonly sampleRateHz: number;
  /** Peak as a share of full scale, above 0 up to 1; 0.5 if absent. */
  readonly level?: number;
  /** True turns the signal upside down. */
  readonly isInverted?: boolean;
  /** `sine` waves, `square` ones, or `rounded` ones whose edges take a third of a half-wave. */
  readonly edges?: "sine" | "square" | "rounded";
  /** Seconds of leader instead of the scheme's. */
  readonly leaderSeconds?: number;
  /** Speed as a multiple of the nominal one; 1 if absent. */
  readonly speedRatio?: number;
}

/** Half-waves of a recording: their lengths in seconds at nominal speed; the sign changes with each. */
export type HalfWaves = number[];

/** Address of the first byte, for layouts that keep one. */
export interface BlockPlace {
  readonly address: number;
}

/** Most bytes of a recording that is made at once. */
const mostBytes = 1 << 20;

/**
 * Makes a recording of bytes: leader, blocks after the scheme's layout, a short leader at the end. Throws `RangeError`
 * for options that cannot be, and for more than 1,048,576 bytes.
 */
export function encodeTape(scheme: TapeScheme, bytes: Uint8Array, options: RecordingOptions): Float32Array {
  return renderHalfWaves(tapeHalfWaves(scheme, bytes, options.leaderSeconds), options);
}

/** The half-waves of a recording of bytes. */
export function tapeHalfWaves(scheme: TapeScheme, bytes: Uint8Array, leaderSeconds?: number): HalfWaves {
  if (bytes.length > mostBytes)
    throw new RangeError(`at most ${mostBytes} bytes at once, got ${bytes.length}`);
  return blocksHalfWaves(scheme, layOut(scheme.block, bytes, { address: 0 }), leaderSeconds);
}

/** The half-waves of blocks whose bytes, headers and check values included, are given. */
export function blocksHalfWaves(
  scheme: TapeScheme,
  blocks: readonly ArrayLike<number>[],
  leaderSeconds = scheme.leader.seconds,
): HalfWaves {
  const waves: HalfWaves = [];
  const writer = halfWaveWriter(scheme, waves);
  blocks.forEach((block, number) => {
    writer.leader(number === 0 ? leaderSeconds : (scheme.block?.pauseSeconds ?? scheme.leader.seconds));
    for (let i = 0; i < block.length; i += 1) writer.bits(frameBits(scheme, block[i] ?? 0));
  });
  writer.leader(Math.min(1, Math.max(0.2, leaderSeconds)), true);
  return waves;
}

/** Cuts bytes into blocks and puts start bytes, headers and check values around each. */
export function layOut(layout: BlockLayout | undefined, bytes: Uint8Array, place: BlockPlace): number[][] {
  if (layout === undefined) return [Array.from(bytes)];
  const lengthField = layout.header.find(({ role }) => role === "length");
  const adds = layout.lengthAdds ?? 0;
  const most =
    layout.bodyBytes ??
    (lengthField === undefined ? mostBytes : 256 ** Math.min(3, lengthField.bytes) - 1 + adds);
  const blocks: number[][] = [];
  for (let start = 0; start === 0 || start < bytes.length; start += most) {
    const body = Array.from(bytes.subarray(start, start + most));
    // A body of fixed length is filled up, or a reader would wait for the rest.
    while (layout.bodyBytes !== undefined && body.length < layout.bodyBytes) body.push(0);
    const header = layout.header.flatMap(({ role, bytes: count, order }) => {
      const value = role === "length" ? body.length - adds : role === "address" ? place.address + start : 0;
      return numberBytes(value, count, order);
    });
    const { check } = layout;
    const covered = check?.covers === "body" ? body : [...header, ...body];
    const tail =
      check === undefined
        ? []
        : numberBytes(checkValue(check.value, covered), checkBytes(check.value), check.order);
    blocks.push([...layout.start, ...header, ...body, ...tail]);
  }
  return blocks;
}

interface HalfWaveWriter {
  leader(seconds: number, isEnd?: boolean): void;
  bits(bits: readonly number[]): void;
}

function halfWaveWriter(scheme: TapeScheme, waves: HalfWaves): HalfWaveWriter {
  const { signal } = scheme;
  if (signal.kind === "tones") return toneWriter(scheme, signal, waves);
  return signal.kind === "pulses" ? pulseWriter(scheme, signal, waves) : phaseWriter(scheme, signal, waves);
}

function toneWriter(
  scheme: TapeScheme,
  signal: Extract<TapeScheme["signal"], { kind: "tones" }>,
  waves: HalfWaves,
): HalfWaveWriter {
  const high = 0.5 / signal.highHz;
  const bit = (value: number): void => {
    const isHigh = value === signal.highBit;
    const count = isHigh ? 2 * signal.cyclesPerBit : signal.cyclesPerBit;
    for (let i = 0; i < count; i += 1) waves.push(isHigh ? high : 2 * high);
  };
  const idle = Number(scheme.frame.stopBits.at(-1) ?? 1);
  return {
    leader: (seconds) => {
      const count = Math.round((seconds * signal.highHz) / signal.cyclesPerBit);
      for (let i = 0; i < count; i += 1) bit(idle);
    },
    bits: (bits) => bits.forEach(bit),
  };
}

function pulseWriter(
  scheme: TapeScheme,
  signal: Extract<TapeScheme["signal"], { kind: "pulses" }>,
  waves: HalfWaves,
): HalfWaveWriter {
  const seconds = new Map(signal.lengths.map(({ name, microseconds }) => [name, microseconds * 1e-6]));
  const pulse = (name: string): void => {
    const length = seconds.get(name) ?? 0;
    if (signal.measure === "half-wave") waves.push(length);
    else waves.push(length / 2, length / 2);
  };
  return {
    leader: (wanted, isEnd = false) => {
      const name = scheme.leader.pulse;
      if (name === undefined) return;
      const length = seconds.get(name) ?? 1;
      for (let i = 0; i < Math.round(wanted / length); i += 1) pulse(name);
      if (!isEnd) for (const sync of scheme.sync ?? []) pulse(sync);
    },
    bits: (bits) => {
      for (const bit of bits) for (const name of bit === 0 ? signal.zero : signal.one) pulse(name);
    },
  };
}

function phaseWriter(
  scheme: TapeScheme,
  signal: Extract<TapeScheme["signal"], { kind: "phase" }>,
  waves: HalfWaves,
): HalfWaveWriter {
  const half = signal.bitMicroseconds * 0.5e-6;
  // Whether the signal is above; the first half-wave that is written is.
  let level: boolean | undefined;
  const put = (isAbove: boolean): void => {
    if (level === isAbove && waves.length > 0) waves[waves.length - 1] = (waves.at(-1) ?? 0) + half;
    else {
      if (level === undefined && !isAbove) waves.push(half);
      waves.push(half);
    }
    level = isAbove;
  };
  const bit = (value: number): void => {
    const rises = (value === 1) === signal.oneRises;
    put(!rises);
    put(rises);
  };
  return {
    leader: (seconds, isEnd = false) => {
      const value = scheme.leader.bit ?? 0;
      for (let i = 0; i < Math.round(seconds / (2 * half)); i += 1) bit(value);
      if (!isEnd) for (const sync of scheme.syncBits ?? "") bit(Number(sync));
    },
    bits: (bits) => bits.forEach(bit),
  };
}

/** Samples of half-waves, one after the other, the first above zero; a hundredth of a second of silence at both ends. */
export function renderHalfWaves(waves: HalfWaves, options: RecordingOptions): Float32Array {
  const { sampleRateHz, level = 0.5, isInverted = false, edges = "sine", speedRatio = 1 } = options;
  if (!(sampleRateHz >= 8000 && sampleRateHz <= 192000))
    throw new RangeError(`sampleRateHz must lie between 8000 and 192000, got ${sampleRateHz}`);
  if (!(level > 0 && level <= 1)) throw new RangeError(`level must be above 0 and at most 1, got ${level}`);
  if (!(speedRatio > 0.1 && speedRatio < 10))
    throw new RangeError(`speedRatio must lie between 0.1 and 10, got ${speedRatio}`);
  const seconds = waves.reduce((sum, length) => sum + length, 0) / speedRatio;
  const quiet = Math.round(sampleRateHz / 100);
  const out = new Float32Array(Math.ceil(seconds * sampleRateHz) + 2 * quiet);
  let sign = isInverted ? -level : level;
  let place = quiet;
  let at = quiet;
  for (const length of waves) {
    const samples = (length * sampleRateHz) / speedRatio;
    for (; at < place + samples && at < out.length; at += 1)
      out[at] = sign * shape(edges, (at - place) / samples);
    place += samples;
    sign = -sign;
  }
  return out;
}

/** Height of a half-wave at a share of its length. */
function shape(edges: "sine" | "square" | "rounded", share: number): number {
  if (edges === "square") return 1;
  if (edges === "sine") return Math.sin(Math.PI * share);
  const edge = Math.min(share, 1 - share);
  return edge >= 1 / 3 ? 1 : Math.sin(1.5 * Math.PI * edge);
}
