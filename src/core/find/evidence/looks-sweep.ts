import type { Fault } from "../faults/fault.js";
import type { FaultSpace } from "../reason/space.js";
import type { CircuitPart } from "../settle/circuit.js";
import type { Look } from "./look.js";
import { joinedNets, runsHot, showsDamage } from "./looks-passive.js";

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

/** Distance within which parts can hardly be told apart by the drop along a rail, in millimetres (own estimate). */
const dropBlurMillimetre = 12;

/**
 * The small voltage drop along a shorted rail that is fed with a limited current: it is lowest at the part that is
 * shorted, and hardly higher at those beside it. Outcomes: the parts on the rail, or that nothing was found. The model's
 * `dropFollowed` is the chance that the drop leads near the short at all; near it, a part at distance d is named with a
 * weight of exp(-d / 12 mm). Common practice, no source; the blur is an own estimate.
 */
export function dropLook(space: FaultSpace, net: number): Look {
  const { dropFollowed, dropClaimed } = space.model.errors;
  const { parts } = space.circuit.wiring;
  const there = partsOnDrop(space, net);
  const outcomes = [nothingFound, ...there.map((part) => parts[part]?.part.ref ?? "?")];
  const count = outcomes.length;
  const likelihood = new Float64Array(count * count);
  const [missed, strayed] = [(1 - dropFollowed) / 2, (1 - dropFollowed) / 2];
  for (let code = 0; code < count; code += 1) {
    const row = code * count;
    if (code === 0) {
      likelihood.fill(dropClaimed / (count - 1), row + 1, row + count);
      likelihood[row] = 1 - dropClaimed;
      continue;
    }
    const weights = there.map((part) =>
      Math.exp(-distanceMillimetre(parts[there[code - 1] ?? -1], parts[part]) / dropBlurMillimetre),
    );
    const total = weights.reduce((sum, weight) => sum + weight, 0);
    likelihood[row] = missed;
    for (const [k, weight] of weights.entries())
      likelihood[row + k + 1] = (dropFollowed * weight) / total + strayed / (count - 1);
  }
  const place = new Map(there.map((part, k) => [part, k + 1]));
  const nets = joinedNets(space, net, true);
  return {
    outcomes,
    codeCount: count,
    likelihood,
    codeOf: (_, faults) => {
      const short = faults.find((fault) => nets.has(fault.signs.shortedNet ?? -1));
      return short === undefined ? 0 : (place.get(short.part) ?? 0);
    },
  };
}

/** Parts with a leg on a rail, or on what links, coils and fuses join to it. */
function partsOnDrop(space: FaultSpace, net: number): number[] {
  const { netPins, pins } = space.circuit.wiring;
  const parts = [...joinedNets(space, net, true)].flatMap((joined) =>
    (netPins[joined] ?? []).map((pin) => pins[pin]?.part ?? -1),
  );
  return [...new Set(parts)].filter((part) => part >= 0).sort((a, b) => a - b);
}

function distanceMillimetre(a: CircuitPart | undefined, b: CircuitPart | undefined): number {
  if (a === undefined || b === undefined) return Number.POSITIVE_INFINITY;
  return Math.hypot(a.part.xMillimetre - b.part.xMillimetre, a.part.yMillimetre - b.part.yMillimetre);
}

/** The drop along a shorted rail, where only the region of the board is known in which it was lowest. */
export function dropRegionLook(space: FaultSpace, net: number): Look {
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
