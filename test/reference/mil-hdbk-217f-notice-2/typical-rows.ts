import type { Handbook217f } from "../../../src/core/find/priors/handbook-217f/constants.js";
import {
  connectorRate,
  relayRate,
  socketRate,
  switchRate,
} from "../../../src/core/find/priors/handbook-217f/contacts.js";
import { microcircuitRate } from "../../../src/core/find/priors/handbook-217f/microcircuit.js";
import {
  capacitorRate,
  capacitorVoltageStress,
  crystalRate,
  resistorRate,
} from "../../../src/core/find/priors/handbook-217f/passive.js";
import {
  bipolarTransistorRate,
  diodeRate,
} from "../../../src/core/find/priors/handbook-217f/semiconductor.js";
import type { ReferenceRow } from "../support/check.js";
import type { ReferenceData } from "./reference-data.js";
import { computedRow } from "./row.js";

/** Typical commercial parts of the 1980s, worked out twice. */
export function typicalRows(data: ReferenceData, handbook: Handbook217f): ReferenceRow[] {
  const { filmResistor, transistor, rectifier, cardEdge, pushbutton, relay, ...lists } = data.typicalParts;
  const at = { environment: "GB", quality: "lower" } as const;
  const plastic = { environment: "GB", quality: "plastic" } as const;
  const commercial = { environment: "GB", quality: "commercial" } as const;
  return [
    ...lists.microcircuits.map(
      ([name, circuit, process, size, temperatureClass, packageName, pins, junction, value]) =>
        computedRow(
          name,
          value,
          microcircuitRate(handbook, {
            ...commercial,
            circuit,
            process,
            size,
            temperatureClass,
            package: packageName,
            pins,
            junctionCelsius: junction,
            yearsInProduction: 2,
          }).ratePerMillionHours,
        ),
    ),
    ...lists.capacitors.map(([name, style, microfarad, volt, ratedVolt, celsius, seriesOhmPerVolt, value]) =>
      computedRow(
        name,
        value,
        capacitorRate(handbook, {
          ...commercial,
          style,
          microfarad,
          celsius,
          seriesOhmPerVolt,
          voltageStress: capacitorVoltageStress(volt, 0, ratedVolt),
        }).ratePerMillionHours,
      ),
    ),
    computedRow(
      "film resistor, a quarter watt",
      filmResistor.computed,
      resistorRate(handbook, { ...commercial, ...filmResistor, style: "film" }).ratePerMillionHours,
    ),
    computedRow(
      "switching transistor, plastic",
      transistor.computed,
      bipolarTransistorRate(handbook, { ...plastic, ...transistor, application: "switching" })
        .ratePerMillionHours,
    ),
    computedRow(
      "rectifier, plastic",
      rectifier.computed,
      diodeRate(handbook, { ...plastic, ...rectifier, kind: "power-rectifier" }).ratePerMillionHours,
    ),
    ...lists.sockets.map(([pins, value]) =>
      computedRow(`socket, ${pins} pins`, value, socketRate(handbook, { ...at, pins }).ratePerMillionHours),
    ),
    ...lists.crystals.map(([megahertz, value]) =>
      computedRow(
        `crystal, ${megahertz} MHz`,
        value,
        crystalRate(handbook, { ...at, megahertz }).ratePerMillionHours,
      ),
    ),
    computedRow(
      "card-edge connector",
      cardEdge.computed,
      connectorRate(handbook, {
        ...at,
        kind: "card-edge",
        celsius: cardEdge.celsius,
        matingsPerThousandHours: 0.05,
      }).ratePerMillionHours,
    ),
    computedRow(
      "pushbutton",
      pushbutton.computed,
      switchRate(handbook, {
        ...at,
        kind: "pushbutton",
        load: "resistive",
        loadStress: pushbutton.loadStress,
        contacts: 1,
      }).ratePerMillionHours,
    ),
    computedRow(
      "relay, one make contact",
      relay.computed,
      relayRate(handbook, {
        ...commercial,
        ratedCelsius: relay.ratedCelsius,
        celsius: relay.celsius,
        load: "resistive",
        loadStress: relay.loadStress,
        contactForm: "SPST",
        construction: "general-armature",
        operationsPerHour: 1,
      }).ratePerMillionHours,
    ),
  ];
}
