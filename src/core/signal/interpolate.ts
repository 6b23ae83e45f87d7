import { blackman, sinc } from "./fir.js";

/** Samples on each side that a value between two samples is made of. */
export const interpolationReach = 5;

const width = 2 * interpolationReach;
const phases = 128;
const table = makeTable();

/** Row p holds the weights of the samples around a place p / phases after one of them. */
function makeTable(): Float64Array {
  const weights = new Float64Array((phases + 1) * width);
  for (let phase = 0; phase <= phases; phase += 1) {
    let sum = 0;
    for (let k = 0; k < width; k += 1) {
      const x = k - (interpolationReach - 1) - phase / phases;
      const value = sinc(x) * blackman(x / (interpolationReach + 0.5));
      weights[phase * width + k] = value;
      sum += value;
    }
    for (let k = 0; k < width; k += 1) weights[phase * width + k] = (weights[phase * width + k] ?? 0) / sum;
  }
  return weights;
}

/**
 * The value of `samples` at a place between two of them, by a windowed sinc of ten samples; outside the array is
 * silence. Good to about 1 % up to 0.8 of half the sample rate.
 */
export function valueAt(samples: Float32Array, position: number): number {
  const whole = Math.floor(position);
  const row = Math.round((position - whole) * phases) * width;
  const first = whole - interpolationReach + 1;
  let sum = 0;
  if (first >= 0 && first + width <= samples.length) {
    for (let k = 0; k < width; k += 1) sum += (table[row + k] ?? 0) * (samples[first + k] ?? 0);
    return sum;
  }
  for (let k = 0; k < width; k += 1) {
    const at = first + k;
    if (at >= 0 && at < samples.length) sum += (table[row + k] ?? 0) * (samples[at] ?? 0);
  }
  return sum;
}
