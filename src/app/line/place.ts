import { isMisplaced, type Misplaced, type Place, placeNamed } from "../../core/find/evidence/place-name.js";
import type { Circuit } from "../../core/find/settle/build.js";

/** A place found at the start of a line. */
export interface FoundPlace {
  readonly place: Place;
  /** The place as the log names it. */
  readonly at: string;
  /** Words it took. */
  readonly words: number;
}

const longestName = 4;
const voltage = /^[+-]?\d+(?:[.,]\d+)?V$/i;

/**
 * Finds the place a line begins with, the longest name first, since net names may hold spaces: `U12.6`, `U12 pin 6`,
 * `U4.7-U9.3`, `+5V`, `rail:+5`, `AB3`, `U12`, `supply`, `board`. Upper and lower case only count where both exist;
 * `prefer` decides what a name means that a part and a net share.
 */
export function findPlace(
  circuit: Circuit,
  words: readonly string[],
  prefer: "net" | "part" = "net",
): FoundPlace | Misplaced {
  const [first = "", second, third] = words;
  if (second?.toLowerCase() === "pin" && third !== undefined) {
    const pin = lookUp(circuit, `${first}.${third}`, prefer);
    return isMisplaced(pin) ? pin : { place: pin, at: nameOf(circuit, pin), words: 3 };
  }
  for (let count = Math.min(longestName, words.length); count > 0; count -= 1) {
    const place = lookUp(circuit, words.slice(0, count).join(" "), prefer);
    if (!isMisplaced(place)) return { place, at: nameOf(circuit, place), words: count };
  }
  const misplaced = lookUp(circuit, first, prefer);
  return isMisplaced(misplaced) ? misplaced : { message: `'${first}' is no place` };
}

/** True for a net that carries supply. */
export function isRailPlace({ wiring }: Circuit, place: Place): boolean {
  return (place.kind === "net" || place.kind === "pin") && place.net >= 0 && wiring.netDuty[place.net] === 1;
}

function lookUp(circuit: Circuit, name: string, prefer: "net" | "part"): Place | Misplaced {
  const { wiring } = circuit;
  const plain = placeNamed(circuit, name, prefer);
  if (!isMisplaced(plain)) return plain;
  if (voltage.test(name)) {
    const rail = placeNamed(circuit, `rail:${name.replace(",", ".").replace(/V$/i, "")}`);
    if (!isMisplaced(rail)) return rail;
  }
  const alike = [...wiring.netIndex.keys()].filter((net) => net.toLowerCase() === name.toLowerCase());
  const [only] = alike;
  return only !== undefined && alike.length === 1 ? placeNamed(circuit, `net:${only}`) : plain;
}

function nameOf(circuit: Circuit, place: Place): string {
  if (place.kind !== "net") return place.label;
  return isRailPlace(circuit, place) ? `rail:${place.label}` : `net:${place.label}`;
}
