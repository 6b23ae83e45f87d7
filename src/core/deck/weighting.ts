/*
 * The curve of IEC 60386:1972 with amendment 1:1988, which is also that of AES6-2008. The standard states it as a table
 * with tolerances. The filter here was fitted to that table: three zeros at rest, a pair of complex poles, three real
 * poles and a zero. It keeps within 0.35 dB of the table; test/reference/aes6-2008-flutter compares all 17 values.
 */
const pairHz = 0.440192402;
const pairQuality = 0.661791558;
const polesHz = [1.51558436, 9.041108539, 52.76726479] as const;
const zeroHz = 38.97144013;
/** The curve is 1 here. */
const referenceHz = 4;

/** Gain of the weighting curve at a flutter frequency, 1 at 4 Hz; that of the continuous filter. */
export function weightingGain(hz: number): number {
  return rawGain(hz) / rawGain(referenceHz);
}

function rawGain(hz: number): number {
  const [low, ...high] = polesHz;
  const pair = Math.hypot(pairHz ** 2 - hz ** 2, (hz * pairHz) / pairQuality);
  const fall = high.reduce((product, pole) => product * Math.hypot(1, hz / pole), 1);
  return ((hz ** 3 / pair / Math.hypot(hz, low)) * Math.hypot(1, hz / zeroHz)) / fall;
}

/** Seconds after which the filter has forgotten how the signal began. */
export const weightingSettlingSeconds = 3;

/**
 * The weighting filter, starting at rest. `rateHz` should be 1000 or more: the bilinear transform bends the curve at the
 * upper end.
 */
export class Weigher {
  private readonly sections: readonly Section[];
  private readonly gain: number;

  constructor(rateHz: number) {
    const [low, middle, high] = polesHz;
    this.sections = [
      // s² over the pair; s over (s + p); (1 + s/z) over (1 + s/p) twice, the second without a zero.
      makeSection(rateHz, [1, 0, 0], [1, angular(pairHz) / pairQuality, angular(pairHz) ** 2]),
      makeSection(rateHz, [0, 1, 0], [0, 1, angular(low)]),
      makeSection(rateHz, [0, 1 / angular(zeroHz), 1], [0, 1 / angular(middle), 1]),
      makeSection(rateHz, [0, 0, 1], [0, 1 / angular(high), 1]),
    ];
    this.gain = 1 / this.sections.reduce((product, part) => product * gainAt(part, referenceHz, rateHz), 1);
  }

  /** Passes the next piece of a signal through the filter, in place. */
  run(piece: Float32Array): void {
    for (let i = 0; i < piece.length; i += 1) piece[i] = (piece[i] ?? 0) * this.gain;
    for (const section of this.sections) runSection(section, piece);
  }
}

/** Coefficients of one section in z: b over a, with a[0] = 1. */
interface Section {
  readonly b: readonly [number, number, number];
  readonly a: readonly [number, number, number];
  /** What it remembers between two samples. */
  first: number;
  second: number;
}

type Quadratic = readonly [number, number, number];

/** Bilinear transform of a quotient of quadratics in s, highest power first. */
function makeSection(rateHz: number, above: Quadratic, below: Quadratic): Section {
  const k = 2 * rateHz;
  const turn = ([square, line, rest]: Quadratic): [number, number, number] => [
    square * k * k + line * k + rest,
    2 * rest - 2 * square * k * k,
    square * k * k - line * k + rest,
  ];
  const b = turn(above);
  const a = turn(below);
  const [first] = a;
  return {
    b: [b[0] / first, b[1] / first, b[2] / first],
    a: [1, a[1] / first, a[2] / first],
    first: 0,
    second: 0,
  };
}

function gainAt({ b, a }: Section, hz: number, rateHz: number): number {
  const angle = (2 * Math.PI * hz) / rateHz;
  const size = ([c0, c1, c2]: Quadratic): number =>
    Math.hypot(
      c0 + c1 * Math.cos(angle) + c2 * Math.cos(2 * angle),
      c1 * Math.sin(angle) + c2 * Math.sin(2 * angle),
    );
  return size(b) / size(a);
}

/** Direct form II transposed; in double precision its rounding does no harm at low frequencies. */
function runSection(section: Section, piece: Float32Array): void {
  const [b0, b1, b2] = section.b;
  const [, a1, a2] = section.a;
  let { first, second } = section;
  for (let i = 0; i < piece.length; i += 1) {
    const x = piece[i] ?? 0;
    const y = b0 * x + first;
    first = b1 * x - a1 * y + second;
    second = b2 * x - a2 * y;
    piece[i] = y;
  }
  section.first = first;
  section.second = second;
}

function angular(hz: number): number {
  return 2 * Math.PI * hz;
}
