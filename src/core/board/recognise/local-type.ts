import type { PartType, PinKind } from "../part-type.js";
import type { NetlistComponent } from "./component-facts.js";

// From this number of pins on, a chip of the time is most likely NMOS; smaller ones are bipolar logic.
const fewestMosPins = 20;

const kindOfType: ReadonlyMap<string, PinKind> = new Map<string, PinKind>([
  ["input", "in"],
  ["output", "out"],
  ["bidi", "bidir"],
  ["bidirectional", "bidir"],
  ["3state", "tri"],
  ["tri_state", "tri"],
  ["passive", "passive"],
  ["power_in", "power"],
  ["power_out", "power"],
  ["opencol", "oc"],
  ["open_collector", "oc"],
  ["openem", "oc"],
  ["open_emitter", "oc"],
  ["nc", "nc"],
  ["no_connect", "nc"],
  ["notconnected", "nc"],
  ["free", "nc"],
]);

/** What a local type is made from besides the component. */
export interface LocalTypeContext {
  /** Name to give it; must not be in the library. */
  readonly name: string;
  /** True if the pin's net, or the pin's name where it has no net, says ground. */
  isGround(pin: string): boolean;
  /** Voltage of the rail the pin is on, if it is on one. */
  railVolt(pin: string): number | undefined;
}

/**
 * A part type for a component the library does not know, from its schematic symbol: pins as drawn, and the cautious
 * rule that its outputs are right only if its supply and all its inputs are.
 */
export function localType(component: NetlistComponent, context: LocalTypeContext): PartType {
  const names = new Set<string>();
  const pins = component.symbolPins.map((pin) => {
    const kind = kindOfType.get(pin.electricalType.toLowerCase().replace(/\+no_connect$/, "")) ?? "passive";
    // Pin names identify pins in the behaviour, so each must differ.
    const wanted = pin.name === "" || pin.name === "~" ? pin.number : pin.name;
    let name = wanted;
    while (names.has(name)) name = `${name}_${pin.number}`;
    names.add(name);
    return {
      number: pin.number,
      name,
      kind: kind === "power" && context.isGround(pin.number) ? ("ground" as const) : kind,
    };
  });
  const rails = pins.flatMap((pin) => {
    const nominalVolt = pin.kind === "power" ? context.railVolt(pin.number) : undefined;
    if (nominalVolt === undefined) return [];
    const spread = Math.abs(nominalVolt) * 0.05;
    return [
      { pin: pin.name, nominalVolt, minimumVolt: nominalVolt - spread, maximumVolt: nominalVolt + spread },
    ];
  });
  const isLarge = pins.length >= fewestMosPins;
  const label = component.value || component.libraryPart || component.ref;
  return {
    type: context.name,
    title: component.description === "" ? `unknown part ${label}` : component.description,
    package: component.footprint === "" ? "unknown" : component.footprint,
    technology: isLarge ? "nmos" : "ls-ttl",
    family: isLarge ? "peripheral" : "logic-bipolar",
    pins: pins.length === 0 ? "as-board" : pins,
    rails,
    behaviour: { kind: "cautious" },
    sources: [{ id: "common-practice", confidence: "memory" }],
  };
}
