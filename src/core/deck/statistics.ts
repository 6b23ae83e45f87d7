/** Mean; 0 for an empty list. */
export function meanOf(values: Float32Array): number {
  if (values.length === 0) return 0;
  let sum = 0;
  for (const value of values) sum += value;
  return sum / values.length;
}

/** Middle value of a list, the lower of two; 0 for an empty one. */
export function medianOf(values: Float32Array | readonly number[]): number {
  return quantileOf(values, 0.5);
}

/** The value that the share `part` of a list does not exceed; 0 for an empty list. Sorts a copy. */
export function quantileOf(values: Float32Array | readonly number[], part: number): number {
  const sorted = Float64Array.from(values).sort();
  return sorted[Math.floor((sorted.length - 1) * part)] ?? 0;
}

/** Level of an amplitude in decibels of full scale; silence is -200. */
export function decibelOf(amplitude: number): number {
  return Math.max(-200, 20 * Math.log10(Math.max(amplitude, 1e-12)));
}
