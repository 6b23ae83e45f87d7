import { nearestName } from "../../base/nearest.js";
import type { Circuit } from "../settle/build.js";
import { pinLabel } from "../settle/circuit.js";

/** What the `at` of a log entry names, as indices of the circuit. */
export type Place =
  | { readonly kind: "net"; readonly net: number; readonly label: string }
  /** A leg of a part; `net` is -1 if the pin is left open. */
  | { readonly kind: "pin"; readonly pin: number; readonly net: number; readonly label: string }
  | { readonly kind: "pins"; readonly first: number; readonly second: number; readonly label: string }
  | {
      readonly kind: "part";
      readonly part: number;
      readonly label: string;
      /** True if each of its pins is meant against the one beside it. */
      readonly neighbours?: true;
    }
  | { readonly kind: "supply"; readonly label: string }
  /** The whole board, gone over part by part. */
  | { readonly kind: "board"; readonly label: string };

/** A name that could not be placed: one clear sentence and, where there is one, the likely right name. */
export interface Misplaced {
  readonly message: string;
  readonly hint?: string;
}

export function isMisplaced(found: Place | Misplaced): found is Misplaced {
  return "message" in found;
}

/**
 * Reads a place name: `rail:-5V`, `net:NAME`, `U12.6`, `U4.7-U9.3`, `U12`, `U12 neighbours`, `supply`, or a bare net
 * name.
 * Rails may be named by their net or by their voltage. Where a part and a net share a name (`D1`), `prefer` decides.
 */
export function placeNamed(
  circuit: Circuit,
  name: string,
  prefer: "net" | "part" = "net",
): Place | Misplaced {
  const { wiring } = circuit;
  const trimmed = name.trim();
  if (trimmed === "supply") return { kind: "supply", label: "supply" };
  if (trimmed === "board") return { kind: "board", label: "board" };
  if (trimmed.startsWith("rail:")) return railNamed(circuit, trimmed.slice(5).trim());
  if (trimmed.startsWith("net:")) return netNamed(circuit, trimmed.slice(4).trim());
  const asPart = prefer === "part" ? wiring.partIndex.get(trimmed) : undefined;
  if (asPart !== undefined) return { kind: "part", part: asPart, label: trimmed };
  const net = wiring.netIndex.get(trimmed);
  if (net !== undefined) return { kind: "net", net, label: trimmed };
  const beside = /^(\S+) neighbours$/i.exec(trimmed);
  if (beside !== null) {
    const part = partNamed(circuit, beside[1] ?? "");
    if ("message" in part) return part;
    return { ...part, label: `${part.label} neighbours`, neighbours: true };
  }
  const two = /^(\S+\.\S+?)\s*-\s*(\S+\.\S+)$/.exec(trimmed);
  if (two !== null) {
    const first = pinNamed(circuit, two[1] ?? "");
    if ("message" in first) return first;
    const second = pinNamed(circuit, two[2] ?? "");
    if ("message" in second) return second;
    return { kind: "pins", first: first.pin, second: second.pin, label: trimmed };
  }
  if (trimmed.includes(".")) return pinNamed(circuit, trimmed);
  return partNamed(circuit, trimmed);
}

/** A part by its reference. */
export function partNamed(circuit: Circuit, name: string): (Place & { kind: "part" }) | Misplaced {
  const { wiring } = circuit;
  const part = wiring.partIndex.get(name) ?? wiring.partIndex.get(name.toUpperCase());
  if (part !== undefined) return { kind: "part", part, label: wiring.parts[part]?.part.ref ?? name };
  const near = nearestName(name, [...wiring.partIndex.keys(), ...wiring.netIndex.keys()]);
  return {
    message: `there is no part, pin or net called '${name}' on ${wiring.board.title}`,
    ...(near === undefined ? {} : { hint: `Did you mean ${near}?` }),
  };
}

function pinNamed(circuit: Circuit, name: string): (Place & { kind: "pin" }) | Misplaced {
  const { wiring } = circuit;
  const dot = name.lastIndexOf(".");
  const part = partNamed(circuit, name.slice(0, dot));
  if ("message" in part) return part;
  const wanted = name.slice(dot + 1);
  const found = wiring.parts[part.part];
  for (const pin of found?.pins ?? []) {
    const at = wiring.pins[pin];
    if (at?.number === wanted || at?.name === wanted)
      return { kind: "pin", pin, net: at.net, label: pinLabel(wiring, pin) };
  }
  const numbers = (found?.pins ?? []).map((pin) => wiring.pins[pin]?.number ?? "");
  return {
    message: `${part.label} (${found?.type.type}) has no pin '${wanted}'`,
    hint: `Its pins are ${numbers[0]} to ${numbers[numbers.length - 1]}.`,
  };
}

function netNamed(circuit: Circuit, name: string): Place | Misplaced {
  const net = circuit.wiring.netIndex.get(name);
  if (net !== undefined) return { kind: "net", net, label: name };
  const near = nearestName(name, circuit.wiring.netIndex.keys());
  return {
    message: `there is no net called '${name}' on ${circuit.wiring.board.title}`,
    ...(near === undefined ? {} : { hint: `Did you mean ${near}?` }),
  };
}

function railNamed(circuit: Circuit, name: string): Place | Misplaced {
  const { board, netIndex } = circuit.wiring;
  const byName = board.rails.find((rail) => rail.net.toUpperCase() === name.toUpperCase());
  const volts = /^([+-]?\d+(?:\.\d+)?)\s*V?$/i.exec(name);
  const byVolts =
    volts === null
      ? undefined
      : (board.rails.find((rail) => rail.raw !== true && rail.nominalVolt === Number(volts[1])) ??
        board.rails.find((rail) => rail.nominalVolt === Number(volts[1])));
  const rail = byName ?? byVolts;
  const net = rail === undefined ? undefined : netIndex.get(rail.net);
  if (rail !== undefined && net !== undefined) return { kind: "net", net, label: rail.net };
  return {
    message: `there is no rail called '${name}' on ${board.title}`,
    hint: `Its rails are ${board.rails.map((r) => r.net).join(", ")}.`,
  };
}
