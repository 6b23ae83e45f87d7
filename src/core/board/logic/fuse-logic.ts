import type { Expression } from "../expression.js";
import { arrayMaps, type FuseDevice, fusesOf, gal16v8, termsPerOutput } from "./fuse-maps.js";

/** What an output pin does by its fuses; pins are named by their numbers. */
export interface CellLogic {
  readonly pin: number;
  /** Level the pin takes, at the clock if it is registered. */
  readonly level: Expression;
  /** While true the pin is driven. */
  readonly enable: Expression;
  readonly isRegistered: boolean;
}

/**
 * What a device does by its fuses, one entry for each pin that is ever driven. A blown fuse (1) leaves its input out of
 * the product, so a term with all fuses blown is always true; one with both fuses of an input intact is never true.
 * Outputs of the bipolar devices and, where their polarity fuse is 0, of the GAL are inverted. Throws `RangeError` for
 * another number of fuses than the device has. O(fuses).
 */
export function logicOfFuses(device: FuseDevice, fuses: Uint8Array): CellLogic[] {
  if (fuses.length !== fusesOf(device))
    throw new RangeError(`a ${device} has ${fusesOf(device)} fuses, got ${fuses.length}`);
  if (device === "GAL16V8") return galLogic(fuses);
  const map = arrayMaps[device];
  return map.outputs.flatMap((pin, i) => {
    const terms = termsOf(fuses, map.columns, i, () => true);
    return map.registered.includes(pin)
      ? [registered(pin, ["not", sumOf(terms)])]
      : combinational(pin, terms, (sum) => ["not", sum]);
  });
}

/** Modes and cells as in the data sheet of the GAL16V8, section "Output logic macrocell"; from memory. */
function galLogic(fuses: Uint8Array): CellLogic[] {
  const isSet = (fuse: number): boolean => fuses[fuse] === 1;
  const isSynchronous = !isSet(gal16v8.synchronous);
  const mode = isSynchronous ? "registered" : isSet(gal16v8.shared) ? "complex" : "simple";
  const columns = gal16v8.columns[mode];
  return gal16v8.outputs.flatMap((pin, i) => {
    const terms = termsOf(fuses, columns, i, (row) => isSet(gal16v8.termInUse + row));
    const shaped = (sum: Expression): Expression => (isSet(gal16v8.polarity + i) ? sum : ["not", sum]);
    const cell = isSet(gal16v8.cell + i);
    if (mode === "simple")
      // The cell fuse makes the pin an input.
      return cell ? [] : [{ pin, level: shaped(sumOf(terms)), enable: true, isRegistered: false }];
    if (mode === "registered" && !cell) return [registered(pin, shaped(sumOf(terms)))];
    return combinational(pin, terms, shaped);
  });
}

/** The first term enables the output, the others are summed. A pin that is never enabled is an input. */
function combinational(
  pin: number,
  [enable = false, ...terms]: readonly Expression[],
  shaped: (sum: Expression) => Expression,
): CellLogic[] {
  if (enable === false) return [];
  return [{ pin, level: shaped(sumOf(terms)), enable, isRegistered: false }];
}

/** Registered outputs are driven while pin 11 is low. */
function registered(pin: number, level: Expression): CellLogic {
  return { pin, level, enable: ["not", "11"], isRegistered: true };
}

function termsOf(
  fuses: Uint8Array,
  columns: readonly number[],
  output: number,
  isInUse: (row: number) => boolean,
): Expression[] {
  return Array.from({ length: termsPerOutput }, (_, k) => {
    const row = output * termsPerOutput + k;
    return isInUse(row) ? termOf(fuses, row, columns) : false;
  });
}

function termOf(fuses: Uint8Array, row: number, columns: readonly number[]): Expression {
  const first = row * columns.length * 2;
  const factors: Expression[] = [];
  for (const [i, pin] of columns.entries()) {
    const high = fuses[first + 2 * i] === 0;
    const low = fuses[first + 2 * i + 1] === 0;
    if (high && low) return false;
    if (high) factors.push(String(pin));
    if (low) factors.push(["not", String(pin)]);
  }
  const [one, two, ...more] = factors;
  if (one === undefined) return true;
  return two === undefined ? one : ["and", one, two, ...more];
}

function sumOf(terms: readonly Expression[]): Expression {
  const used = terms.filter((term) => term !== false);
  if (used.includes(true)) return true;
  const [one, two, ...more] = used;
  if (one === undefined) return false;
  return two === undefined ? one : ["or", one, two, ...more];
}
