import type { BoardMap, MapPart } from "./board-map.js";
import { compareNatural } from "./natural-order.js";

/** A pin or a whole part. */
export interface FoundSpot {
  readonly ref: string;
  readonly pin: string | null;
}

/** What a typed name stands for on a board. */
export interface FoundOnMap {
  readonly kind: "part" | "pin" | "net" | "type" | "nothing";
  /** In the order in which they are worth looking at. */
  readonly spots: readonly FoundSpot[];
  /** What was found, in a few words. */
  readonly says: string;
  /** The net, if it is one. */
  readonly net?: string;
}

/** Where a net can be touched with a probe. */
export interface TouchPoint extends FoundSpot {
  readonly pin: string;
  readonly pinName: string;
  readonly shape: MapPart["shape"];
}

// Where a tip finds hold, best first: points made for it, legs of chips from above, then joints of other parts.
const shapeRank: Readonly<Record<MapPart["shape"], number>> = {
  point: 0,
  chip: 1,
  tab: 2,
  edge: 3,
  box: 4,
  axial: 5,
  disc: 5,
  round: 5,
  outside: 9,
};

/** Pins of a net, the best to touch first: test points, then legs of chips, then joints. O(pins). */
export function touchPoints(map: BoardMap, net: string): TouchPoint[] {
  return map.parts
    .flatMap(({ ref, shape, pins }) =>
      pins.flatMap(({ pin, name, net: own }) => (own === net ? [{ ref, pin, pinName: name, shape }] : [])),
    )
    .sort(
      (a, b) =>
        shapeRank[a.shape] - shapeRank[b.shape] ||
        compareNatural(a.ref, b.ref) ||
        compareNatural(a.pin, b.pin),
    );
}

/**
 * Finds what a typed name means: a pin (`U12.6`), a part, a net, a type or a value; whole names before beginnings, in
 * any case. O(pins).
 */
export function findOnMap(map: BoardMap, typed: string): FoundOnMap {
  const wanted = typed.trim().toLowerCase();
  if (wanted === "") return { kind: "nothing", spots: [], says: "" };
  const same = (name: string): boolean => name.toLowerCase() === wanted;
  const begins = (name: string): boolean => name.toLowerCase().startsWith(wanted);
  const dot = wanted.lastIndexOf(".");
  if (dot > 0) {
    const part = map.parts.find(({ ref }) => ref.toLowerCase() === wanted.slice(0, dot));
    const number = wanted.slice(dot + 1);
    const pin = part?.pins.find(
      (one) => one.pin.toLowerCase() === number || one.name.toLowerCase() === number,
    );
    if (part !== undefined && pin !== undefined)
      return {
        kind: "pin",
        spots: [{ ref: part.ref, pin: pin.pin }],
        says: `${part.ref} pin ${pin.pin}`,
        ...(pin.net === null ? {} : { net: pin.net }),
      };
  }
  const nets = [...new Set(map.parts.flatMap(({ pins }) => pins.flatMap(({ net }) => net ?? [])))];
  for (const fits of [same, begins]) {
    const parts = map.parts.filter(({ ref }) => fits(ref)).sort((a, b) => compareNatural(a.ref, b.ref));
    const fittingNets = nets.filter(fits).sort(compareNatural);
    const [net] = fittingNets;
    if (parts.length > 0 && (fits === same || net === undefined || parts.length >= fittingNets.length))
      return {
        kind: "part",
        spots: parts.map(({ ref }) => ({ ref, pin: null })),
        says: parts.length === 1 ? `${parts[0]?.ref}, ${parts[0]?.type}` : `${parts.length} parts`,
      };
    if (net !== undefined && (fits === same || fittingNets.length === 1)) {
      const points = touchPoints(map, net);
      return {
        kind: "net",
        net,
        spots: points.map(({ ref, pin }) => ({ ref, pin })),
        says: `${net}: ${points.length} ${points.length === 1 ? "place" : "places"} to touch it`,
      };
    }
    if (fittingNets.length > 1)
      return {
        kind: "nothing",
        spots: [],
        says: `Lines: ${fittingNets.slice(0, 6).join(", ")}${fittingNets.length > 6 ? " …" : ""}`,
      };
    const typed = map.parts.filter(({ type, value }) => fits(type) || (value !== undefined && fits(value)));
    if (typed.length > 0)
      return {
        kind: "type",
        spots: typed.sort((a, b) => compareNatural(a.ref, b.ref)).map(({ ref }) => ({ ref, pin: null })),
        says: `${typed.length} of that type or value: ${typed
          .slice(0, 8)
          .map(({ ref }) => ref)
          .join(", ")}${typed.length > 8 ? " …" : ""}`,
      };
  }
  return { kind: "nothing", spots: [], says: "Nothing on this board is called so." };
}
