import type { Board, BoardPart } from "../../board/board.js";
import type { PartType } from "../../board/part-type.js";
import type { EventPlace } from "./events.js";
import type { FaultFamily } from "./fault-family.js";
import type { PriorPart } from "./prior.js";
import { pinRows, type StructurePart } from "./structure-priors.js";

/** Part type by name; undefined for a name it does not know. */
export type FindPartType = (name: string) => PartType | undefined;

/** A part of a board that can fail, as the priors need it. */
export interface BoardPriorPart {
  readonly part: PriorPart;
  readonly structure: StructurePart;
  readonly pinCount: number;
  readonly nets: ReadonlySet<string>;
}

/** Distance within which parts count as beside each other: about one chip's length. */
export const nearMillimetre = 25;

/**
 * The parts of a board that can fail, in the board's order.
 * @throws RangeError if a part's type is unknown
 */
export function boardPriorParts(board: Board, findType: FindPartType, ageYears: number): BoardPriorPart[] {
  return board.parts.flatMap((part): BoardPriorPart[] => {
    const type = findType(part.type);
    if (type === undefined) throw new RangeError(`part ${part.ref} has the unknown type ${part.type}`);
    if (type.family === "none") return [];
    const pins = type.pins === "as-board" ? Object.keys(part.pins) : type.pins.map((pin) => pin.number);
    // A keyboard's or connector's pin numbers say nothing of what lies beside what inside it.
    const rows = type.family === "keyboard" ? [] : pinRows(type.package, pins);
    return [
      {
        part: priorPart(board, part, type, pins.length, ageYears),
        structure: { ref: part.ref, socketed: part.socketed ?? false, rows, nets: part.pins },
        pinCount: Math.max(pins.length, 1),
        nets: new Set(Object.values(part.pins)),
      },
    ];
  });
}

function priorPart(
  board: Board,
  part: BoardPart,
  type: PartType,
  pinCount: number,
  ageYears: number,
): PriorPart {
  const { family } = type;
  if (family === "none") throw new RangeError(`part ${part.ref} cannot fail`);
  const powerWatt = family === "regulator" ? undefined : heatWatt(type);
  const acrossVolt = voltAcross(board, part);
  return {
    ref: part.ref,
    family,
    technology: type.technology,
    section: part.section,
    ageYears,
    ...(pinCount > 0 ? { pinCount } : {}),
    ...(type.complexity === undefined ? {} : { complexity: type.complexity }),
    ...(part.value === undefined ? {} : { value: part.value }),
    ...(part.frequencyHertz === undefined ? {} : { frequencyHertz: part.frequencyHertz }),
    ...(powerWatt === undefined ? {} : { powerWatt }),
    ...(acrossVolt === undefined ? {} : { acrossVolt }),
  };
}

// The typical current is taken to flow at the highest of the part's voltages: an upper estimate for three-rail memory.
function heatWatt(type: PartType): number | undefined {
  if (type.supplyCurrentMilliampere === undefined || type.rails.length === 0) return undefined;
  const volt = Math.max(...type.rails.map((rail) => Math.abs(rail.nominalVolt)));
  return (type.supplyCurrentMilliampere / 1000) * volt;
}

function voltAcross(board: Board, part: BoardPart): number | undefined {
  const nets = Object.values(part.pins);
  if (nets.length !== 2) return undefined;
  const volts = nets.map((net) =>
    net === board.ground ? 0 : board.rails.find((rail) => rail.net === net)?.nominalVolt,
  );
  const [first, second] = volts;
  return first === undefined || second === undefined ? undefined : Math.abs(first - second);
}

/** References of the parts whose centres lie within `nearMillimetre` of each part's. */
export function nearParts(board: Board): ReadonlyMap<string, ReadonlySet<string>> {
  return new Map(
    board.parts.map((part) => {
      const near = board.parts.filter(
        (other) =>
          other.ref !== part.ref &&
          Math.hypot(other.xMillimetre - part.xMillimetre, other.yMillimetre - part.yMillimetre) <=
            nearMillimetre,
      );
      return [part.ref, new Set(near.map((other) => other.ref))];
    }),
  );
}

/** The place of a part, or of a structure at it, for events. */
export function eventPlace(
  family: FaultFamily,
  ref: string,
  nets: ReadonlySet<string>,
  near: ReadonlyMap<string, ReadonlySet<string>>,
): EventPlace {
  return { family, ref, nets, isNear: (other) => near.get(ref)?.has(other) ?? false };
}
