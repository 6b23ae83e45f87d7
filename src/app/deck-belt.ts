import {
  ageingRatio,
  type BeltClue,
  type BeltSection,
  correctedPulleyMillimetres,
  type NewBelt,
  newBelt,
  type Pulley,
  type Range,
  stretchRatios,
} from "../core/deck/belt.js";
import { usage } from "./usage.js";

/** What the user knows of a belt; exactly one of the first three is given. */
export interface BeltRequest {
  readonly oldMillimetres?: number;
  readonly pathMillimetres?: number;
  /** `12,60` with a distance, or `x,y,diameter;…`. */
  readonly pulleys?: string;
  /** Between the axles of two pulleys. */
  readonly distanceMillimetres?: number;
  readonly section: BeltSection;
  /** Diameter of the motor's pulley, to be corrected by a speed error. */
  readonly motorPulleyMillimetres?: number;
  readonly speedErrorPercent?: number;
}

/** The belt to order, and how it was found. */
export interface FoundBelt extends NewBelt {
  /** The rule that was used, as ratios, and what it is of. */
  readonly rule: { readonly of: "stretch" | "ageing"; readonly ratio: Range };
  /** The motor pulley that would take the speed error away. */
  readonly correctedPulleyMillimetres?: number;
}

/** Works out a belt. Throws `usage` for a request that says too little, too much, or what cannot be. */
export function findBelt(request: BeltRequest): FoundBelt {
  const { section, motorPulleyMillimetres: pulley, speedErrorPercent: error } = request;
  if ((pulley === undefined) !== (error === undefined))
    throw usage("A corrected pulley needs both --motor-pulley and --speed-error.");
  if (error !== undefined && Math.abs(error) > 50)
    throw usage("A speed error beyond 50 % is no matter of a pulley.");
  try {
    const belt = newBelt(clueOf(request), section);
    const isOld = belt.pathMillimetres === undefined;
    return {
      ...belt,
      rule: isOld ? { of: "ageing", ratio: ageingRatio } : { of: "stretch", ratio: stretchRatios[section] },
      ...(pulley === undefined || error === undefined
        ? {}
        : { correctedPulleyMillimetres: correctedPulleyMillimetres(pulley, error / 100) }),
    };
  } catch (cause) {
    if (cause instanceof RangeError) throw usage(`This belt cannot be worked out: ${cause.message}.`);
    throw cause;
  }
}

function clueOf(request: BeltRequest): BeltClue {
  const { oldMillimetres, pathMillimetres, pulleys, distanceMillimetres } = request;
  const given = [oldMillimetres, pathMillimetres, pulleys].filter((clue) => clue !== undefined);
  if (given.length !== 1) throw usage("Give one of --old, --path and --pulleys.");
  if (oldMillimetres !== undefined) return { kind: "old-belt", lengthMillimetres: oldMillimetres };
  if (pathMillimetres !== undefined) return { kind: "path", lengthMillimetres: pathMillimetres };
  return { kind: "pulleys", pulleys: readPulleys(pulleys ?? "", distanceMillimetres) };
}

function readPulleys(text: string, distance: number | undefined): Pulley[] {
  const numbers = text
    .split(";")
    .map((pulley) => pulley.split(",").map((part) => Number(part.trim() || Number.NaN)));
  if (numbers.flat().some((value) => !Number.isFinite(value)))
    throw usage(
      "--pulleys takes numbers in millimetres: '12,60' with --distance, or 'x,y,diameter;x,y,diameter'.",
    );
  const [first] = numbers;
  if (numbers.length === 1 && first?.length === 2) {
    const [small = 0, large = 0] = first;
    if (distance === undefined) throw usage("Two diameters need --distance, from axle to axle.");
    return [
      { x: 0, y: 0, diameter: small },
      { x: distance, y: 0, diameter: large },
    ];
  }
  if (distance !== undefined) throw usage("--distance goes with two diameters only.");
  return numbers.map((pulley) => {
    const [x, y, diameter] = pulley;
    if (x === undefined || y === undefined || diameter === undefined || pulley.length !== 3)
      throw usage("Each pulley needs three numbers: x, y and diameter.");
    return { x, y, diameter };
  });
}
