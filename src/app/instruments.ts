import { BoardwakeError } from "../core/base/errors.js";
import { nearestName } from "../core/base/nearest.js";
import { freeInstruments, type Instrument, instruments } from "../core/find/case/case.js";

/** Instruments a person may or may not own; the others everybody has. */
export const ownedInstruments: readonly Instrument[] = instruments.filter(
  (name) => !freeInstruments.includes(name),
);

/** Reads a list of instruments separated by commas. Throws `usage`, with the nearest name, for one that is unknown. */
export function instrumentsNamed(list: string): Instrument[] {
  return list
    .split(",")
    .map((name) => name.trim())
    .filter((name) => name !== "")
    .map((name) => {
      const found = instruments.find((known) => known === name);
      if (found !== undefined) return found;
      const near = nearestName(name, instruments);
      const hint =
        near === undefined ? ` Instruments: ${instruments.join(", ")}.` : ` Did you mean '${near}'?`;
      throw new BoardwakeError("usage", { reason: `There is no instrument called '${name}'.${hint}` });
    });
}
