import type { Environment, Handbook217f } from "./constants.js";
import { arrheniusFactor, bandValue, type HandbookRate, inRange, productRate, tableEntry } from "./rate.js";

export type SwitchKind = keyof Handbook217f["switch"]["baseRate"];
export type ConnectorKind = keyof Handbook217f["connector"]["baseRate"];
export type ConnectionKind = keyof Handbook217f["connection"]["baseRate"];
type Quality = "MIL" | "lower";
type Load = "resistive" | "inductive" | "lamp";

/** Mechanical relay, section 13.1. `loadStress` is the contact current over its rating. */
export interface RelayInput {
  readonly ratedCelsius: 85 | 125;
  readonly celsius: number;
  readonly load: Load;
  readonly loadStress: number;
  readonly contactForm: keyof Handbook217f["relay"]["contactForm"];
  readonly construction: keyof Handbook217f["relay"]["construction"];
  readonly operationsPerHour: number;
  /** Quality level of the handbook: M, L or commercial; the cycling factor is that of commercial relays. */
  readonly quality: string;
  readonly environment: Environment;
}

/** λb·πL·πC·πCYC·πF·πQ·πE, section 13.1. */
export function relayRate(handbook: Handbook217f, input: RelayInput): HandbookRate {
  const constants = handbook.relay;
  const activation = constants.activationElectronvolt[input.ratedCelsius === 85 ? "85" : "125"];
  const operations = inRange(input.operationsPerHour, 0, Number.MAX_VALUE, "operations per hour");
  const { freePerHour, steepPerHour, steepDivisor } = constants.cycling;
  const cycling =
    operations < freePerHour
      ? 1
      : operations <= steepPerHour
        ? operations / freePerHour
        : (operations / steepDivisor) ** 2;
  return productRate(constants.section, "λb·πL·πC·πCYC·πF·πQ·πE", {
    λb: constants.baseRate * arrheniusFactor(handbook.arrhenius, activation, input.celsius),
    πL: loadFactor(constants.load[input.load], input.loadStress),
    πC: constants.contactForm[input.contactForm],
    πCYC: cycling,
    πF: constants.construction[input.construction],
    πQ: tableEntry(constants.quality, input.quality, "quality"),
    πE: tableEntry(constants.environment, input.environment, "environment"),
  });
}

/** Switch, section 14.1. `loadStress` is the contact current over its rating. */
export interface SwitchInput {
  readonly kind: SwitchKind;
  readonly load: Load;
  readonly loadStress: number;
  readonly contacts: number;
  readonly quality: Quality;
  readonly environment: Environment;
}

/** λb·πL·πC·πQ·πE, section 14.1. */
export function switchRate(handbook: Handbook217f, input: SwitchInput): HandbookRate {
  const constants = handbook.switch;
  const contacts = inRange(input.contacts, 1, Number.MAX_VALUE, "number of contacts");
  return productRate(constants.section, "λb·πL·πC·πQ·πE", {
    λb: constants.baseRate[input.kind],
    πL: loadFactor(constants.load[input.load], input.loadStress),
    πC: constants.contactsCount.includes(input.kind) ? contacts ** constants.contactExponent : 1,
    πQ: constants.quality[input.quality],
    πE: tableEntry(constants.environment, input.environment, "environment"),
  });
}

function loadFactor(divisor: number, stress: number): number {
  return Math.exp((inRange(stress, 0, 1, "load stress") / divisor) ** 2);
}

/** Mated connector pair, section 15.1; half of it is one connector alone. */
export interface ConnectorInput {
  readonly kind: ConnectorKind;
  readonly celsius: number;
  readonly matingsPerThousandHours: number;
  readonly quality: Quality;
  readonly environment: Environment;
}

/** λb·πT·πK·πQ·πE, section 15.1. */
export function connectorRate(handbook: Handbook217f, input: ConnectorInput): HandbookRate {
  const constants = handbook.connector;
  const matings = inRange(input.matingsPerThousandHours, 0, Number.MAX_VALUE, "matings");
  return productRate(constants.section, "λb·πT·πK·πQ·πE", {
    λb: constants.baseRate[input.kind],
    πT: arrheniusFactor(handbook.arrhenius, constants.activationElectronvolt, input.celsius),
    πK: bandValue(constants.matings, matings) ?? constants.matingsAbove,
    πQ: constants.quality[input.quality],
    πE: tableEntry(constants.environment, input.environment, "environment"),
  });
}

/** Socket for an integrated circuit, section 15.2: λb·πP·πQ·πE for all its pins together. */
export function socketRate(
  handbook: Handbook217f,
  input: { readonly pins: number; readonly quality: Quality; readonly environment: Environment },
): HandbookRate {
  const constants = handbook.socket;
  const pins = inRange(input.pins, 1, Number.MAX_VALUE, "number of pins");
  return productRate(constants.section, "λb·πP·πQ·πE", {
    λb: constants.baseRate,
    πP: Math.exp(((pins - 1) / constants.pinDivisor) ** constants.pinExponent),
    πQ: constants.quality[input.quality],
    πE: tableEntry(constants.environment, input.environment, "environment"),
  });
}

/** One soldered, crimped or wrapped connection, section 17.1: λb·πE. */
export function connectionRate(
  handbook: Handbook217f,
  input: { readonly kind: ConnectionKind; readonly environment: Environment },
): HandbookRate {
  const constants = handbook.connection;
  return productRate(constants.section, "λb·πE", {
    λb: constants.baseRate[input.kind],
    πE: tableEntry(constants.environment, input.environment, "environment"),
  });
}

/** Plated-through holes of a printed board, section 16.1: λb·[N1·πC + N2·(πC + 13)]·πQ·πE. */
export function platedHoleRate(
  handbook: Handbook217f,
  input: {
    readonly machineSolderedHoles: number;
    readonly handSolderedHoles: number;
    readonly planes: number;
    readonly quality: Quality;
    readonly environment: Environment;
  },
): HandbookRate {
  const constants = handbook.platedHole;
  const planes = inRange(input.planes, 2, 18, "number of circuit planes");
  const piC = constants.planeScale * planes ** constants.planeExponent;
  const machine = inRange(input.machineSolderedHoles, 0, Number.MAX_VALUE, "number of holes");
  const hand = inRange(input.handSolderedHoles, 0, Number.MAX_VALUE, "number of holes");
  const piQ = constants.quality[input.quality];
  const piE = tableEntry(constants.environment, input.environment, "environment");
  const holes = machine * piC + hand * (piC + constants.handSolderedExtra);
  return {
    ratePerMillionHours: constants.baseRate * holes * piQ * piE,
    section: constants.section,
    formula: "λb·[N1·πC + N2·(πC + 13)]·πQ·πE",
    factors: { λb: constants.baseRate, N1: machine, N2: hand, πC: piC, πQ: piQ, πE: piE },
  };
}
