import type { FailureFamily, Technology } from "../../board/part-type.js";
import { parseMicrofarad, parseRatedVolt, parseWatt } from "./component-value.js";
import type { FamilyModel, FamilyModels } from "./family-model.js";
import type { FaultFamily } from "./fault-family.js";
import type { Handbook217f } from "./handbook-217f/constants.js";
import { connectorRate, relayRate, switchRate } from "./handbook-217f/contacts.js";
import {
  gatesFromTransistors,
  largestSize,
  type MicrocircuitProcess,
  type MicrocircuitTemperatureClass,
  microcircuitRate,
} from "./handbook-217f/microcircuit.js";
import {
  capacitorRate,
  crystalRate,
  fuseRate,
  inductiveRate,
  resistorRate,
} from "./handbook-217f/passive.js";
import { bandValue, type HandbookRate } from "./handbook-217f/rate.js";
import { bipolarTransistorRate, diodeRate, ledRate } from "./handbook-217f/semiconductor.js";

/** What the rate of a part depends on. Only `family` and `technology` are needed; the rest refines. */
export interface RatedPart {
  readonly family: FailureFamily;
  readonly technology: Technology;
  readonly pinCount?: number;
  readonly complexity?: {
    readonly gates?: number | undefined;
    readonly bits?: number | undefined;
    readonly transistors?: number | undefined;
    readonly wordBits?: number | undefined;
  };
  /** Value as printed. */
  readonly value?: string;
  readonly frequencyHertz?: number;
  /** Power the part turns into heat. */
  readonly powerWatt?: number;
  /** Voltage across the part, as far as the rails tell. */
  readonly acrossVolt?: number;
  /** Applied over rated voltage; overrides what follows from `acrossVolt` and the printed rating. */
  readonly railStress?: number;
}

/** A handbook rate with the inputs that went into it, each with where it came from. */
export interface AppliedRate extends HandbookRate {
  readonly inputs: Readonly<Record<string, number | string>>;
  /** What had to be assumed, one sentence each. */
  readonly assumptions: readonly string[];
}

/**
 * Handbook rate of a part, by the model of its family. Sizes beyond the end of a handbook table take the
 * last band, and say so in `assumptions`. Throws `RangeError` for family `none` or one without a model.
 */
export function handbookRate(handbook: Handbook217f, models: FamilyModels, part: RatedPart): AppliedRate {
  return new RateFinder(handbook, models, part).find(modelOf(models, part.family));
}

function modelOf(models: FamilyModels, family: FaultFamily | "none"): FamilyModel {
  const model = models.families.find((entry) => entry.family === family)?.model;
  if (model === undefined) throw new RangeError(`there is no failure-rate model for family ${family}`);
  return model;
}

class RateFinder {
  private readonly inputs: Record<string, number | string> = {};
  private readonly assumptions: string[] = [];
  private readonly handbook: Handbook217f;
  private readonly models: FamilyModels;
  private readonly part: RatedPart;

  constructor(handbook: Handbook217f, models: FamilyModels, part: RatedPart) {
    this.handbook = handbook;
    this.models = models;
    this.part = part;
  }

  find(model: FamilyModel): AppliedRate {
    const rate = this.rate(model);
    return { ...rate, inputs: this.inputs, assumptions: this.assumptions };
  }

  private rate(model: FamilyModel): HandbookRate {
    const { handbook, models, part } = this;
    const { environment, ambientCelsius: celsius } = models;
    switch (model.kind) {
      case "microcircuit":
        return this.microcircuit(model);
      case "diode": {
        const { style: kind, voltageStress, junctionCelsius } = model;
        this.note({ kind, voltageStress, junctionCelsius });
        return diodeRate(handbook, { kind, voltageStress, junctionCelsius, quality: "plastic", environment });
      }
      case "transistor": {
        const ratedPowerWatt = parseWatt(part.value ?? "") ?? model.ratedPowerWatt;
        const { application, voltageStress, junctionCelsius } = model;
        const input = { application, ratedPowerWatt, voltageStress, junctionCelsius };
        this.note(input);
        return bipolarTransistorRate(handbook, { ...input, quality: "plastic", environment });
      }
      case "led":
        this.note({ junctionCelsius: model.junctionCelsius });
        return ledRate(handbook, { junctionCelsius: model.junctionCelsius, quality: "plastic", environment });
      case "resistor": {
        const ratedPowerWatt = parseWatt(part.value ?? "") ?? model.ratedPowerWatt;
        const input = { style: model.style, ratedPowerWatt, powerStress: model.powerStress, celsius };
        this.note(input);
        return resistorRate(handbook, { ...input, quality: "commercial", environment });
      }
      case "capacitor": {
        const microfarad =
          parseMicrofarad(part.value ?? "") ?? this.assume("capacitance in microfarad", model.microfarad);
        const { style, seriesOhmPerVolt } = model;
        const input = {
          style,
          microfarad,
          voltageStress: this.stress(model.voltageStress),
          celsius,
          seriesOhmPerVolt,
        };
        this.note(input);
        return capacitorRate(handbook, { ...input, quality: "commercial", environment });
      }
      case "inductive":
        this.note({ kind: model.style, celsius });
        return inductiveRate(handbook, { kind: model.style, celsius, quality: "lower", environment });
      case "crystal": {
        const megahertz =
          part.frequencyHertz === undefined
            ? this.assume("frequency in megahertz", model.megahertz)
            : part.frequencyHertz / 1e6;
        this.note({ megahertz });
        return crystalRate(handbook, { megahertz, quality: "lower", environment });
      }
      case "fuse":
        return fuseRate(handbook, environment);
      case "switch": {
        const input = { kind: model.style, loadStress: model.loadStress, contacts: 1 };
        this.note(input);
        return switchRate(handbook, { ...input, load: "resistive", quality: "lower", environment });
      }
      case "relay": {
        const { construction, contactForm, ratedCelsius, loadStress, operationsPerHour } = model;
        const input = { construction, contactForm, ratedCelsius, loadStress, operationsPerHour, celsius };
        this.note(input);
        return relayRate(handbook, { ...input, load: "inductive", quality: "commercial", environment });
      }
      case "connector": {
        const { style: kind, matingsPerThousandHours } = model;
        this.note({ kind, matingsPerThousandHours, celsius });
        return connectorRate(handbook, {
          kind,
          matingsPerThousandHours,
          celsius,
          quality: "lower",
          environment,
        });
      }
      case "assembly":
        return this.assembly(model.parts);
      case "fixed":
        this.assumptions.push(`${model.why} (Common practice, no source.)`);
        return {
          ratePerMillionHours: model.ratePerMillionHours,
          section: "none",
          formula: "estimate of the trade",
          factors: { λ: model.ratePerMillionHours },
        };
    }
  }

  private microcircuit(model: Extract<FamilyModel, { kind: "microcircuit" }>): HandbookRate {
    const { handbook, models, part } = this;
    const { process, temperatureClass } = technologyClass(part.technology);
    const actualProcess = isMemory(model.circuit) ? "mos" : model.circuit === "linear" ? "bipolar" : process;
    const size = this.size(model, actualProcess);
    const pins = part.pinCount ?? this.assume("number of pins", model.pins);
    const junctionCelsius = this.junction(model.junctionCelsius, pins);
    const input = {
      circuit: model.circuit,
      process: actualProcess,
      size,
      temperatureClass:
        model.temperatureClass === "by-technology" ? temperatureClass : model.temperatureClass,
      junctionCelsius,
      package: model.package,
      pins,
    };
    this.note(input);
    return microcircuitRate(handbook, {
      ...input,
      environment: models.environment,
      quality: "commercial",
      yearsInProduction: models.yearsInProduction,
    });
  }

  private size(model: Extract<FamilyModel, { kind: "microcircuit" }>, process: MicrocircuitProcess): number {
    const { complexity } = this.part;
    const constants = this.handbook.microcircuit;
    let size = complexity?.[model.counts];
    if (size === undefined && model.counts === "gates" && complexity?.transistors !== undefined) {
      size = gatesFromTransistors(constants, complexity.transistors, process);
    }
    size ??= this.assume(
      model.counts === "wordBits" ? "bits of a word" : `number of ${model.counts}`,
      model.size,
    );
    const limit = largestSize(constants, model.circuit, process) ?? size;
    if (size <= limit) return size;
    this.assumptions.push(`The handbook's table ends at ${limit}; its last band is used.`);
    return limit;
  }

  private junction(fallback: number, pins: number): number {
    const { powerWatt } = this.part;
    if (powerWatt === undefined) return this.assume("junction temperature in °C", fallback);
    const table = this.models.stillAirKelvinPerWatt;
    const kelvinPerWatt = bandValue(table, pins) ?? table.at(-1)?.[1] ?? 0;
    this.note({ powerWatt, kelvinPerWatt });
    // Beyond what silicon survives the figure for the power is a rating, not what the board draws.
    return Math.min(this.models.caseAirCelsius + kelvinPerWatt * powerWatt, 125);
  }

  private stress(fallback: number): number {
    const { railStress, acrossVolt, value } = this.part;
    if (railStress !== undefined) return Math.min(Math.abs(railStress), 1);
    const rated = parseRatedVolt(value ?? "");
    if (acrossVolt !== undefined && rated !== undefined) return Math.min(Math.abs(acrossVolt) / rated, 1);
    return this.assume("voltage stress", fallback);
  }

  private assembly(
    parts: ReadonlyArray<{ readonly family: FaultFamily; readonly count: number }>,
  ): HandbookRate {
    const factors: Record<string, number> = {};
    let sum = 0;
    for (const { family, count } of parts) {
      const model = modelOf(this.models, family);
      if (model.kind === "assembly") throw new RangeError(`assembly within an assembly: ${family}`);
      const technology = family === "logic-bipolar" ? "ls-ttl" : "linear";
      const typical: RatedPart = { family: asPartFamily(family), technology };
      const rate = new RateFinder(this.handbook, this.models, typical).find(model);
      factors[`${count} × ${family}`] = count * rate.ratePerMillionHours;
      sum += count * rate.ratePerMillionHours;
    }
    this.assumptions.push("Rated as the sum of typical parts. (Common practice, no source.)");
    return { ratePerMillionHours: sum, section: "see its parts", formula: "sum of the parts", factors };
  }

  private assume(what: string, value: number): number {
    this.assumptions.push(`Assumed ${what}: ${value}.`);
    return value;
  }

  private note(values: Readonly<Record<string, number | string>>): void {
    Object.assign(this.inputs, values);
  }
}

function asPartFamily(family: FaultFamily): FailureFamily {
  switch (family) {
    case "socket":
    case "track":
    case "bridge":
    case "wrong-part":
      throw new RangeError(`an assembly consists of parts, got ${family}`);
    default:
      return family;
  }
}

function isMemory(circuit: string): boolean {
  return circuit.endsWith("-ram") || circuit.endsWith("-rom");
}

function technologyClass(technology: Technology): {
  readonly process: MicrocircuitProcess;
  readonly temperatureClass: MicrocircuitTemperatureClass;
} {
  switch (technology) {
    case "ttl":
    case "s-ttl":
    case "ls-ttl":
      return { process: "bipolar", temperatureClass: technology };
    case "linear":
      return { process: "bipolar", temperatureClass: "linear" };
    case "cmos":
    case "nmos":
    case "discrete":
    case "passive":
    case "mechanical":
      return { process: "mos", temperatureClass: "mos" };
  }
}
