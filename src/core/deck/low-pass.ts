/**
 * Taps of a low-pass filter with linear phase: flat up to `passHz`, gone from `stopHz` on (74 dB), gain 1 at rest. An odd
 * number of them. Source: the ideal low-pass cut off by a Blackman window, A. V. Oppenheim, R. W. Schafer, Discrete-Time
 * Signal Processing, the section on windows; from memory.
 */
export function lowPassTaps(rateHz: number, passHz: number, stopHz: number): Float64Array {
  if (!(passHz > 0 && stopHz > passHz && rateHz > 0)) {
    throw new RangeError(`needs 0 < pass < stop, got ${passHz} and ${stopHz} Hz at ${rateHz} Hz`);
  }
  const reach = Math.ceil((2.75 * rateHz) / (stopHz - passHz));
  const edge = (passHz + stopHz) / rateHz;
  const taps = Float64Array.from({ length: 2 * reach + 1 }, (_, i) => {
    const x = i - reach;
    const ideal = x === 0 ? edge : Math.sin(Math.PI * edge * x) / (Math.PI * x);
    const place = (Math.PI * x) / (reach + 1);
    return ideal * (0.42 + 0.5 * Math.cos(place) + 0.08 * Math.cos(2 * place));
  });
  const sum = taps.reduce((total, tap) => total + tap, 0);
  return taps.map((tap) => tap / sum);
}
