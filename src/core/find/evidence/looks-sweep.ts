import type { Fault } from "../faults/fault.js";
import type { FaultSpace } from "../reason/space.js";
import type { Look } from "./look.js";
import { runsHot, showsDamage } from "./looks-passive.js";

/** Parts that can be felt or looked at one by one; beyond this many a sweep is done section by section instead. */
const mostParts = 200;

/** Outcome of a sweep that found nothing. */
export const nothingFound = "nothing";

/** Going over all parts with a finger or a thermal camera: which one, if any, is hotter than its like? */
export function heatSweepLook(space: FaultSpace): Look {
  const { hotSeen: seen, hotClaimed: claimed } = space.model.errors;
  const parts = space.circuit.wiring.parts.filter(
    (part) =>
      part.pins.length >= 3 ||
      part.type.family.startsWith("capacitor-tantalum") ||
      part.type.family === "capacitor-ceramic",
  );
  return sweepLook(
    space,
    parts.slice(0, mostParts).map((part) => part.index),
    { seen, claimed },
    (fault, part) => runsHot(space, fault, part),
  );
}

/** Going over the whole board with a lamp and a magnifier: cracked joints, bridges, green legs, swollen cans. */
export function visualSweepLook(space: FaultSpace): Look {
  const { visualSeen: seen, visualClaimed: claimed } = space.model.errors;
  const parts = space.circuit.wiring.parts.slice(0, mostParts).map((part) => part.index);
  return sweepLook(
    space,
    parts,
    { seen, claimed },
    (fault, part) => fault.part === part && showsDamage(fault),
  );
}

function sweepLook(
  space: FaultSpace,
  parts: readonly number[],
  rates: { readonly seen: number; readonly claimed: number },
  shows: (fault: Fault, part: number) => boolean,
): Look {
  const outcomes = [nothingFound, ...parts.map((part) => space.circuit.wiring.parts[part]?.part.ref ?? "?")];
  const count = outcomes.length;
  const likelihood = new Float64Array(count * count);
  const stray = rates.claimed / Math.max(1, count - 1);
  for (let code = 0; code < count; code += 1) {
    for (let o = 0; o < count; o += 1) {
      const missed = 1 - rates.seen - rates.claimed;
      const named = code === o ? rates.seen + stray : stray;
      const share =
        code === 0 ? (o === 0 ? 1 - rates.claimed : stray) : o === 0 ? Math.max(0, missed) : named;
      likelihood[code * count + o] = share;
    }
    normalise(likelihood, code * count, count);
  }
  const place = new Map(parts.map((part, i) => [part, i + 1]));
  const known = new Map<Fault, number>();
  const codeOfFault = (fault: Fault): number => {
    const seen = known.get(fault);
    if (seen !== undefined) return seen;
    const own = place.get(fault.part);
    const code =
      own !== undefined && shows(fault, fault.part)
        ? own
        : (place.get(parts.find((part) => shows(fault, part)) ?? -1) ?? 0);
    known.set(fault, code);
    return code;
  };
  return {
    outcomes,
    codeCount: count,
    likelihood,
    codeOf: (_, faults) => faults.map(codeOfFault).find((code) => code > 0) ?? 0,
  };
}

function normalise(values: Float64Array, from: number, count: number): void {
  let sum = 0;
  for (let i = from; i < from + count; i += 1) sum += values[i] as number;
  for (let i = from; i < from + count; i += 1) values[i] = (values[i] as number) / sum;
}

/** Regions of a board seen from the component side, the keyboard edge in front. */
export const regions = [
  "rear-left",
  "rear-middle",
  "rear-right",
  "front-left",
  "front-middle",
  "front-right",
] as const;

/**
 * The small voltage drop along a shorted rail, fed with a limited current: the lowest voltage lies nearest the short.
 * Common practice, no source.
 */
export function dropLook(space: FaultSpace, net: number): Look {
  const { dropFollowed, dropClaimed } = space.model.errors;
  const outcomes = [nothingFound, ...regions];
  const count = outcomes.length;
  const likelihood = new Float64Array(count * count);
  for (let code = 0; code < count; code += 1) {
    const own = code === 0 ? 1 - dropClaimed : dropFollowed;
    for (let o = 0; o < count; o += 1)
      likelihood[code * count + o] = o === code ? own : (1 - own) / (count - 1);
  }
  const { widthMillimetre, heightMillimetre } = space.circuit.wiring.board.outline;
  const regionOf = (part: number): number => {
    const found = space.circuit.wiring.parts[part]?.part;
    if (found === undefined) return 0;
    const column = Math.min(2, Math.max(0, Math.floor((3 * found.xMillimetre) / widthMillimetre)));
    const row = found.yMillimetre > heightMillimetre / 2 ? 1 : 0;
    return 1 + row * 3 + column;
  };
  return {
    outcomes,
    codeCount: count,
    likelihood,
    codeOf: (_, faults) => {
      const short = faults.find((fault) => fault.signs.shortedNet === net);
      return short === undefined ? 0 : regionOf(short.part);
    },
  };
}
