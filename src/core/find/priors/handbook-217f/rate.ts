/**
 * A failure rate worked out by a formula of MIL-HDBK-217F Notice 2.
 * The rate is the product, or for microcircuits the stated sum of products, of the listed factors.
 */
export interface HandbookRate {
  /** Failures per million operating hours. */
  readonly ratePerMillionHours: number;
  /** Section of the handbook, e.g. `10.1`. */
  readonly section: string;
  /** The formula in the handbook's symbols. */
  readonly formula: string;
  /** Value of each symbol of the formula. */
  readonly factors: Readonly<Record<string, number>>;
}

/** Temperature constants shared by all sections of the handbook. */
export interface ArrheniusConstants {
  readonly boltzmannElectronvoltPerKelvin: number;
  /** 298 K; older printings of single factors that use 296 K do not reproduce the handbook's own examples. */
  readonly referenceKelvin: number;
  readonly zeroCelsiusKelvin: number;
}

/** exp(-(Ea/k)(1/T - 1/T0)): 1 at the reference temperature. `activationElectronvolt` 0 gives 1. */
export function arrheniusFactor(
  constants: ArrheniusConstants,
  activationElectronvolt: number,
  celsius: number,
): number {
  return temperatureFactor(
    constants,
    activationElectronvolt / constants.boltzmannElectronvoltPerKelvin,
    celsius,
  );
}

/** exp(-B(1/T - 1/T0)) with `slopeKelvin` = B, the form the handbook uses for semiconductors. */
export function temperatureFactor(
  constants: ArrheniusConstants,
  slopeKelvin: number,
  celsius: number,
): number {
  const kelvin = celsius + constants.zeroCelsiusKelvin;
  if (!(kelvin > 0)) throw new RangeError(`temperature must be above absolute zero, got ${celsius} °C`);
  return Math.exp(-slopeKelvin * (1 / kelvin - 1 / constants.referenceKelvin));
}

/** The entry of a handbook table; throws `RangeError` naming the entries there are. */
export function tableEntry(
  table: Readonly<Partial<Record<string, number>>>,
  key: string,
  what: string,
): number {
  const value = table[key];
  if (value === undefined) {
    throw new RangeError(`${what} must be one of ${Object.keys(table).join(", ")}, got ${key}`);
  }
  return value;
}

/** The value of the first band whose upper limit holds `size`, or undefined beyond the last one. */
export function bandValue(bands: ReadonlyArray<readonly [number, number]>, size: number): number | undefined {
  return bands.find(([upTo]) => size <= upTo)?.[1];
}

/** Checks that `value` is a finite number in the given range and returns it. */
export function inRange(value: number, low: number, high: number, what: string): number {
  if (!(value >= low && value <= high && Number.isFinite(value))) {
    throw new RangeError(`${what} must lie between ${low} and ${high}, got ${value}`);
  }
  return value;
}

/** Multiplies the factors of a product formula. */
export function productRate(
  section: string,
  formula: string,
  factors: Readonly<Record<string, number>>,
): HandbookRate {
  const ratePerMillionHours = Object.values(factors).reduce((product, factor) => product * factor, 1);
  return { ratePerMillionHours, section, formula, factors };
}
