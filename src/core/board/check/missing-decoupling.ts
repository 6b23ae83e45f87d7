import type { BoardPart } from "../board.js";
import { isPlainGrid } from "../plain-grid.js";
import { type CircuitView, describePin, isChip, pinPlace, type ViewPin } from "./circuit-view.js";
import type { Finding } from "./finding.js";

/** How far a decoupling capacitor may be from its chip, centre to centre (common practice, no source). */
export const decouplingDistanceMillimetre = 30;

/**
 * Chips without a capacitor from their rail to ground close by. On a board without true positions (a plain grid) only
 * the numbers are compared: each rail should have as many capacitors as chips. Common practice, no source.
 */
export function findMissingDecoupling(view: CircuitView): Finding[] {
  const capacitors = capacitorsByRail(view);
  const supplied = chipSupplyPins(view);
  return isPlainGrid(view.board)
    ? countPerRail(view, capacitors, supplied)
    : searchNearby(capacitors, supplied);
}

function capacitorsByRail({ board, types }: CircuitView): Map<string, BoardPart[]> {
  const byRail = new Map<string, BoardPart[]>();
  for (const part of board.parts) {
    const behaviour = types.get(part.type)?.behaviour;
    if (behaviour?.kind !== "plain" || behaviour.as !== "capacitor") continue;
    const nets = Object.values(part.pins);
    if (!nets.includes(board.ground)) continue;
    for (const net of nets) {
      if (net === board.ground) continue;
      const list = byRail.get(net);
      if (list === undefined) byRail.set(net, [part]);
      else list.push(part);
    }
  }
  return byRail;
}

/** Pins by which chips take supply, one for each chip and rail; supply a chip gives away is not among its rails. */
function chipSupplyPins({ pins, board, isSupply }: CircuitView): (ViewPin & { readonly net: string })[] {
  const seen = new Set<string>();
  return pins.flatMap((pin) => {
    const { net } = pin;
    if (
      pin.kind !== "power" ||
      net === undefined ||
      net === board.ground ||
      !isSupply(net) ||
      !isChip(pin.type)
    )
      return [];
    if (!pin.type.rails.some((rail) => rail.pin === pin.name)) return [];
    const key = `${pin.part.ref}\u0000${net}`;
    if (seen.has(key)) return [];
    seen.add(key);
    return [{ ...pin, net }];
  });
}

function searchNearby(
  capacitors: ReadonlyMap<string, readonly BoardPart[]>,
  supplied: readonly (ViewPin & { readonly net: string })[],
): Finding[] {
  return supplied.flatMap((pin): Finding[] => {
    let nearestMillimetre = Number.POSITIVE_INFINITY;
    for (const { xMillimetre, yMillimetre } of capacitors.get(pin.net) ?? []) {
      const distance = Math.hypot(xMillimetre - pin.part.xMillimetre, yMillimetre - pin.part.yMillimetre);
      nearestMillimetre = Math.min(nearestMillimetre, distance);
    }
    if (nearestMillimetre <= decouplingDistanceMillimetre) return [];
    const nearest = Number.isFinite(nearestMillimetre)
      ? `the nearest is ${Math.round(nearestMillimetre)} mm away`
      : "there is none at all";
    const message = `${describePin(pin)} has no capacitor from ${pin.net} to ground within ${decouplingDistanceMillimetre} mm; ${nearest}.`;
    return [{ rule: "missing-decoupling", at: pinPlace(pin), message, severity: "warning" }];
  });
}

function countPerRail(
  { board }: CircuitView,
  capacitors: ReadonlyMap<string, readonly BoardPart[]>,
  supplied: readonly (ViewPin & { readonly net: string })[],
): Finding[] {
  return board.rails.flatMap(({ net }): Finding[] => {
    const chips = supplied.filter((pin) => pin.net === net).length;
    const count = capacitors.get(net)?.length ?? 0;
    if (count >= chips) return [];
    const message = `${chips} ${chips === 1 ? "chip takes" : "chips take"} ${net}, but ${count} ${count === 1 ? "capacitor leads" : "capacitors lead"} from it to ground; each chip should have its own.`;
    return [{ rule: "missing-decoupling", at: net, message, severity: "warning" }];
  });
}
