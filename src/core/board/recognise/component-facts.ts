import type { DraftComponent, DraftLibraryPart, NetlistDraft } from "../read/netlist-draft.js";
import type { ComponentFacts } from "./recognise-part.js";

/** A pin of a component as the netlist knows it. */
export interface SymbolPin {
  readonly number: string;
  readonly name: string;
  /** As the schematic program writes it; empty if not known. */
  readonly electricalType: string;
}

/** A component with its schematic symbol and the nets of its pins. */
export interface NetlistComponent extends ComponentFacts {
  readonly component: DraftComponent;
  readonly description: string;
  /** Net by pin number, in the order of the file. */
  readonly netOfPin: ReadonlyMap<string, string>;
  /** All pins of the symbol; those on a net if there is no symbol. */
  readonly symbolPins: readonly SymbolPin[];
}

/** The components of a draft with all that the draft says of them, in the order of the file. */
export function describeComponents(draft: NetlistDraft): NetlistComponent[] {
  const symbols = symbolsByName(draft.libraryParts);
  const pinsByRef = new Map<string, { nets: Map<string, string>; pins: Map<string, SymbolPin> }>();
  for (const component of draft.components)
    pinsByRef.set(component.ref, { nets: new Map(), pins: new Map() });
  for (const net of draft.nets) {
    for (const node of net.nodes) {
      const entry = pinsByRef.get(node.ref);
      entry?.nets.set(node.pin, net.name);
      entry?.pins.set(node.pin, {
        number: node.pin,
        name: node.pinFunction ?? "",
        electricalType: node.pinType ?? "",
      });
    }
  }
  return draft.components.map((component) => {
    const own = pinsByRef.get(component.ref);
    const symbol = symbols.get(symbolKey(component.libraryName ?? "", component.libraryPart ?? ""));
    // The symbol knows names and types of all pins; the nodes may add pins it does not list.
    const pins = new Map<string, SymbolPin>((symbol?.pins ?? []).map((pin) => [pin.number, pin]));
    for (const [number, pin] of own?.pins ?? []) if (!pins.has(number)) pins.set(number, pin);
    const names = new Map([...pins].map(([number, pin]) => [number, pin.name]));
    const netOfPin = own?.nets ?? new Map<string, string>();
    return {
      component,
      ref: component.ref,
      value: component.value,
      libraryPart: component.libraryPart ?? "",
      footprint: component.footprint ?? "",
      description: component.description ?? symbol?.description ?? "",
      connectedPins: [...netOfPin.keys()],
      netOfPin,
      symbolPins: [...pins.values()],
      pinName: (number) => names.get(number) ?? "",
    };
  });
}

function symbolKey(libraryName: string, part: string): string {
  return `${libraryName}\u0000${part}`;
}

function symbolsByName(parts: readonly DraftLibraryPart[]): Map<string, DraftLibraryPart> {
  const symbols = new Map<string, DraftLibraryPart>();
  for (const part of parts) {
    symbols.set(symbolKey(part.libraryName, part.part), part);
    for (const alias of part.aliases) {
      const key = symbolKey(part.libraryName, alias);
      if (!symbols.has(key)) symbols.set(key, part);
    }
  }
  return symbols;
}
