/** How strongly a part is suspected, in steps that a drawing can tell apart: 0 none to 4 nearly certain. */
export type SuspicionStep = 0 | 1 | 2 | 3 | 4;

const bounds = [0.01, 0.05, 0.2, 0.5] as const;

/** The step of a probability: below 1 %, 5 %, 20 %, 50 %, and above. Throws `RangeError` outside 0 to 1. */
export function suspicionStep(probability: number): SuspicionStep {
  if (!(probability >= 0 && probability <= 1)) {
    throw new RangeError(`a probability lies between 0 and 1, got ${probability}`);
  }
  const [one, two, three, four] = bounds;
  if (probability < one) return 0;
  if (probability < two) return 1;
  if (probability < three) return 2;
  return probability < four ? 3 : 4;
}

/** Distance between hatch lines in millimetres for each step; closer is more suspect. */
export const hatchSpacingMillimetre: Readonly<Record<SuspicionStep, number>> = {
  0: 0,
  1: 3.2,
  2: 2.2,
  3: 1.5,
  4: 1,
};

/** A probability as people read it: `34 %`, `0.8 %`, `< 0.1 %`. */
export function percentText(probability: number): string {
  const percent = probability * 100;
  if (percent >= 99.95 && percent < 100) return "> 99.9 %";
  if (percent >= 9.95) return `${Math.round(percent)} %`;
  if (percent < 0.1) return percent === 0 ? "0 %" : "< 0.1 %";
  return `${Math.round(percent * 10) / 10} %`;
}
