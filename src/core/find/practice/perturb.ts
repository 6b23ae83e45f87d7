import { createRandom, type Random } from "../../base/random.js";
import type { FindModel, InstrumentModel, ObservableModel } from "../model/model.js";
import { faultFamilies } from "../priors/fault-family.js";

/** Another world than the engine believes in, near enough to be possible. */
export interface Perturbation {
  readonly model: FindModel;
  /** Factor on the odds of all faults of a failure family; 1 for an unknown one. */
  factorOf(family: string): number;
}

/** Standard deviation of the logarithm of the factor on a family's odds. */
const priorSpread = 0.7;
/** Share of an even spread mixed into what people report. */
const confusion = 0.2;

/**
 * Disturbs a model: odds of each family by e^N(0, 0.7); each error rate by a factor between 0.5 and 2, even in its
 * logarithm; shares of the crash modes drawn anew, all shares equally likely; tables of symptoms mixed with one fifth
 * of an even spread. What a fault does to the board stays as it is. The same seed gives the same world.
 */
export function perturb(model: FindModel, seed: number): Perturbation {
  const random = createRandom(seed);
  const factors = new Map<string, number>(
    faultFamilies.map((family) => [family, Math.exp(priorSpread * normal(random))]),
  );
  const shares = [0, 1, 2].map(() => -Math.log(1 - random.next()));
  const total = shares.reduce((sum, share) => sum + share, 0);
  const [halted = 0, looping = 0, wild = 0] = shares.map((share) => share / total);
  const errors = { ...model.errors };
  for (const key of errorKeys(model)) errors[key] = scaledRate(errors[key], rateFactor(random));
  return {
    model: {
      ...model,
      crashModes: { halted, looping, wild },
      errors,
      observables: model.observables.map(confused),
      instruments: Object.fromEntries(
        Object.entries(model.instruments).map(([name, instrument]) => [name, shaken(instrument, random)]),
      ),
    },
    factorOf: (family) => factors.get(family) ?? 1,
  };
}

function errorKeys(model: FindModel): (keyof FindModel["errors"])[] {
  const isKey = (key: string): key is keyof FindModel["errors"] => key in model.errors;
  return Object.keys(model.errors).filter(isKey);
}

/** Standard normal by the polar method (G. Marsaglia and T. A. Bray, SIAM Review 6, 1964). */
function normal(random: Random): number {
  for (;;) {
    const x = 2 * random.next() - 1;
    const y = 2 * random.next() - 1;
    const square = x * x + y * y;
    if (square > 0 && square < 1) return x * Math.sqrt((-2 * Math.log(square)) / square);
  }
}

function rateFactor(random: Random): number {
  return 2 ** (2 * random.next() - 1);
}

/** Scales what goes wrong: of a rate above one half that is the rest to 1. */
function scaledRate(rate: number, factor: number): number {
  const wrong = Math.min(rate, 1 - rate);
  const scaled = Math.min(0.5, wrong * factor);
  return rate > 0.5 ? 1 - scaled : scaled;
}

function confused(observable: ObservableModel): ObservableModel {
  const states = Object.fromEntries(
    Object.entries(observable.states).map(([state, row]) => [
      state,
      row.map((p) => (1 - confusion) * p + confusion / row.length),
    ]),
  );
  return { ...observable, states };
}

/** An instrument whose errors at each level are scaled; what it shows mostly takes up the difference. */
function shaken(instrument: InstrumentModel, random: Random): InstrumentModel {
  const levels: InstrumentModel["levels"] = { ...instrument.levels };
  const isLevel = (key: string): key is keyof typeof levels => key in levels;
  for (const key of Object.keys(levels).filter(isLevel)) {
    const row = levels[key];
    if (row === undefined) continue;
    const most = row.indexOf(Math.max(...row));
    const error = 1 - (row[most] ?? 0);
    const scaled = Math.min(Math.max(error, 0.5), error * rateFactor(random));
    levels[key] = row.map((p, i) => (i === most ? 1 - scaled : error > 0 ? (p * scaled) / error : 0));
  }
  return { ...instrument, levels };
}
