import type { Handbook217f } from "../../../src/core/find/priors/handbook-217f/constants.js";
import { socketRate } from "../../../src/core/find/priors/handbook-217f/contacts.js";
import {
  eepromCyclingRate,
  junctionCelsius,
  microcircuitRate,
  screeningQuality,
} from "../../../src/core/find/priors/handbook-217f/microcircuit.js";
import {
  capacitorRate,
  capacitorVoltageStress,
  crystalRate,
  fuseRate,
} from "../../../src/core/find/priors/handbook-217f/passive.js";
import { arrheniusFactor } from "../../../src/core/find/priors/handbook-217f/rate.js";
import {
  bipolarTransistorRate,
  diodeRate,
} from "../../../src/core/find/priors/handbook-217f/semiconductor.js";
import type { ReferenceRow, ReferenceTag } from "../support/check.js";
import { type ReferenceData, readHandbook, readReferenceData } from "./reference-data.js";
import { printedRow, unit } from "./row.js";
import { typicalRows } from "./typical-rows.js";

// Printed .0061 in the column of the quiet room and .0062 in that of space flight, though both have the same
// factors; we get .00615.
const printedInconsistently = new Map([["UV EPROM to 64K, 28 pins", 6e-5]]);

/** Every value of this folder's data.json beside ours. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  const data = readReferenceData();
  const handbook = readHandbook();
  return [
    ...partsCountRows(data, handbook),
    ...temperatureRows(data, handbook),
    ...exampleRows(data, handbook),
    ...otherPartsCountRows(data, handbook),
    ...typicalRows(data, handbook),
  ];
}

/** Appendix A rows; also run with another reference temperature to see whether the check would notice. */
export function partsCountRows(data: ReferenceData, handbook: Handbook217f): ReferenceRow[] {
  const junction = handbook.microcircuit.junction.defaultCelsius;
  return data.partsCount.rows.map(([name, circuit, process, size, temperatureClass, pins, text]) => {
    const { ratePerMillionHours } = microcircuitRate(handbook, {
      circuit,
      process,
      size,
      temperatureClass,
      junctionCelsius: junction,
      package: "hermetic-dip",
      pins,
      environment: "GB",
      quality: 1,
      yearsInProduction: 2,
    });
    const row = printedRow(`Appendix A: ${name}, ${unit}`, text, ratePerMillionHours, "published");
    return { ...row, tolerance: printedInconsistently.get(name) ?? row.tolerance };
  });
}

function temperatureRows(data: ReferenceData, handbook: Handbook217f): ReferenceRow[] {
  const { activationElectronvolt, read, computed } = data.temperatureFactors;
  const { scale } = handbook.microcircuit.temperature;
  const rows = (table: ReadonlyArray<readonly [number, readonly string[]]>, tag: ReferenceTag) =>
    table.flatMap(([celsius, values]) =>
      values.map((text, index) => {
        const energy = activationElectronvolt[index] ?? Number.NaN;
        const ours = scale * arrheniusFactor(handbook.arrhenius, energy, celsius);
        return printedRow(`5.8: πT at ${celsius} °C, Ea ${energy} eV`, text, ours, tag);
      }),
    );
  return [...rows(read, "published"), ...rows(computed, "recomputed")];
}

function exampleRows(data: ReferenceData, handbook: Handbook217f): ReferenceRow[] {
  const { gateArray, eeprom, capacitor, dualTransistor } = data.workedExamples;
  const array = microcircuitRate(handbook, {
    circuit: "digital",
    process: "mos",
    size: gateArray.gates,
    temperatureClass: "mos",
    junctionCelsius: junctionCelsius(gateArray.caseCelsius, gateArray.kelvinPerWatt, gateArray.powerWatt),
    package: "glass-dip",
    pins: gateArray.pins,
    environment: gateArray.environment,
    quality: screeningQuality(handbook.microcircuit, gateArray.screeningPoints),
    yearsInProduction: 2,
  });
  const cycling = eepromCyclingRate(handbook, eeprom);
  const memory = microcircuitRate(handbook, {
    circuit: "programmable-rom",
    process: "mos",
    size: eeprom.bits,
    temperatureClass: "memory",
    junctionCelsius: eeprom.junctionCelsius,
    package: "glass-dip",
    pins: eeprom.pins,
    environment: eeprom.environment,
    quality: eeprom.quality,
    yearsInProduction: 2,
    cyclingRatePerMillionHours: cycling,
  });
  const stress = capacitorVoltageStress(capacitor.directVolt, capacitor.alternatingVolt, capacitor.ratedVolt);
  const film = capacitorRate(handbook, {
    style: "film",
    microfarad: capacitor.microfarad,
    voltageStress: stress,
    celsius: capacitor.celsius,
    seriesOhmPerVolt: 1,
    quality: "commercial",
    environment: capacitor.environment,
  });
  // The printed product uses quality 3 (not of established reliability).
  const filmNonEr = (film.ratePerMillionHours * 3) / 10;
  const sides = dualTransistor.sides.map((side) =>
    bipolarTransistorRate(handbook, {
      ...side,
      application: "linear",
      quality: "JAN",
      environment: dualTransistor.environment,
    }),
  );
  const pair = sides.reduce((sum, side) => sum + side.ratePerMillionHours, 0);
  return [
    printedRow(`5.13: gate array, ${unit}`, gateArray.published, array.ratePerMillionHours, "published"),
    printedRow("5.13: EEPROM B1", eeprom.publishedB1, cycling / eeprom.programmingFactor, "published"),
    printedRow(`5.13: EEPROM cycling, ${unit}`, eeprom.publishedCycling, cycling, "published"),
    printedRow(`5.13: EEPROM, ${unit}`, eeprom.published, memory.ratePerMillionHours, "published"),
    printedRow("10: film capacitor, voltage stress", capacitor.publishedStress, stress, "published"),
    printedRow("10: film capacitor πT", capacitor.publishedπT, film.factors["πT"] ?? Number.NaN, "published"),
    printedRow("10: film capacitor πC", capacitor.publishedπC, film.factors["πC"] ?? Number.NaN, "published"),
    // The example raises the rounded stress .68 to the fifth power.
    {
      ...printedRow(
        "10: film capacitor πV",
        capacitor.publishedπV,
        film.factors["πV"] ?? Number.NaN,
        "published",
      ),
      tolerance: 0.08,
    },
    // Rounding each factor to two digits moves the product by up to 6 %.
    {
      ...printedRow(`10: film capacitor, ${unit}`, capacitor.published, filmNonEr, "published"),
      tolerance: 0.003,
    },
    ...dualTransistor.sides.flatMap((side, index) => {
      const factors = sides[index]?.factors ?? {};
      const name = `6: dual transistor, side ${index + 1}`;
      return [
        printedRow(`${name} πT`, side.publishedπT, factors["πT"] ?? Number.NaN, "published"),
        printedRow(`${name} πR`, side.publishedπR, factors["πR"] ?? Number.NaN, "published"),
        printedRow(`${name} πS`, side.publishedπS, factors["πS"] ?? Number.NaN, "published"),
      ];
    }),
    printedRow(`6: dual transistor, ${unit}`, dualTransistor.published, pair, "published"),
  ];
}

function otherPartsCountRows(data: ReferenceData, handbook: Handbook217f): ReferenceRow[] {
  const other = data.otherPartsCount;
  const junction = handbook.microcircuit.junction.defaultCelsius;
  const socket = socketRate(handbook, { pins: 40, quality: "lower", environment: "GB" });
  const crystal = crystalRate(handbook, { megahertz: 50, quality: "MIL", environment: "GB" });
  const title = (name: string) => `Appendix A: ${name}, ${unit}`;
  return [
    printedRow(title("socket, 40 pins"), other.socket40Pins, socket.ratePerMillionHours, "published"),
    printedRow(title("crystal, 50 MHz"), other.crystal50Megahertz, crystal.ratePerMillionHours, "published"),
    printedRow(title("fuse"), other.fuse, fuseRate(handbook, "GB").ratePerMillionHours, "published"),
    ...other.diodes.map(([kind, text]) => {
      const rate = diodeRate(handbook, {
        kind,
        junctionCelsius: junction,
        voltageStress: other.diodeVoltageStress,
        quality: "JANTX",
        environment: "GB",
      });
      return printedRow(title(`diode, ${kind}`), text, rate.ratePerMillionHours, "from memory");
    }),
    ...other.transistors.map(([name, application, ratedPowerWatt, voltageStress, text]) => {
      const rate = bipolarTransistorRate(handbook, {
        application,
        ratedPowerWatt,
        voltageStress,
        junctionCelsius: junction,
        quality: "JANTX",
        environment: "GB",
      });
      return printedRow(title(name), text, rate.ratePerMillionHours, "from memory");
    }),
  ];
}
