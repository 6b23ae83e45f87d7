/** Sections of belts: square ones drive flywheels and counters, flat ones flywheels of larger decks. */
export const beltSections = ["square", "flat"] as const;
export type BeltSection = (typeof beltSections)[number];

/** A pulley by the place of its axle and its diameter where the belt runs, in millimetres. */
export interface Pulley {
  readonly x: number;
  readonly y: number;
  readonly diameter: number;
}

/** What is known of the belt that is wanted. */
export type BeltClue =
  /** Inner length of the old belt, cut or measured round. */
  | { readonly kind: "old-belt"; readonly lengthMillimetres: number }
  /** Length of a thread laid round all pulleys where the belt runs. */
  | { readonly kind: "path"; readonly lengthMillimetres: number }
  | { readonly kind: "pulleys"; readonly pulleys: readonly Pulley[] };

/** A range with its usual value. */
export interface Range {
  readonly low: number;
  readonly usual: number;
  readonly high: number;
}

/** The belt to order. */
export interface NewBelt {
  /** Length of the way round the pulleys; undefined where only the old belt is known. */
  readonly pathMillimetres: number | undefined;
  /** Inner length, untensioned. */
  readonly innerMillimetres: Range;
  /** The same as the inner diameter of a ring. */
  readonly innerDiameterMillimetres: Range;
  readonly section: BeltSection;
}

/** How much longer a belt is on its pulleys than off them, as a ratio. Common practice, no source. */
export const stretchRatios: Readonly<Record<BeltSection, Range>> = {
  square: { low: 0.04, usual: 0.06, high: 0.1 },
  flat: { low: 0.02, usual: 0.04, high: 0.06 },
};

/** How much longer an old belt is than when it was new, as a ratio. Common practice, no source. */
export const ageingRatio: Range = { low: 0.03, usual: 0.05, high: 0.08 };

/**
 * Size of a new belt. On its pulleys it is longer by the stretch rule, so it is ordered shorter than its path by that; an
 * old belt has grown with age. Throws `RangeError` for lengths that cannot be and for pulleys that lie in each other.
 */
export function newBelt(clue: BeltClue, section: BeltSection): NewBelt {
  const pathMillimetres =
    clue.kind === "pulleys"
      ? beltPathMillimetres(clue.pulleys)
      : clue.kind === "path"
        ? checked(clue.lengthMillimetres)
        : undefined;
  const rule = pathMillimetres === undefined ? ageingRatio : stretchRatios[section];
  const from = pathMillimetres ?? (clue.kind === "old-belt" ? checked(clue.lengthMillimetres) : 0);
  const inner = { low: from / (1 + rule.high), usual: from / (1 + rule.usual), high: from / (1 + rule.low) };
  return {
    pathMillimetres,
    innerMillimetres: inner,
    innerDiameterMillimetres: {
      low: inner.low / Math.PI,
      usual: inner.usual / Math.PI,
      high: inner.high / Math.PI,
    },
    section,
  };
}

function checked(length: number): number {
  if (!(length > 0 && Number.isFinite(length)))
    throw new RangeError(`a length must be positive, got ${length}`);
  return length;
}

/**
 * Length of a belt laid tight round pulleys from outside: the convex hull of circles, straight where it leaves one for
 * the next and bent where it lies on one. A pulley that the hull does not touch is passed over, as a belt would. For two
 * pulleys of radii r and R at a distance C this is 2 √(C² - (R - r)²) + π (R + r) + 2 (R - r) asin((R - r) / C).
 */
export function beltPathMillimetres(pulleys: readonly Pulley[]): number {
  if (pulleys.length < 2 || pulleys.length > 20) {
    throw new RangeError(`a belt runs round 2 to 20 pulleys, got ${pulleys.length}`);
  }
  for (const { diameter } of pulleys) checked(diameter);
  for (const [i, a] of pulleys.entries()) {
    for (const b of pulleys.slice(i + 1)) {
      if (Math.hypot(a.x - b.x, a.y - b.y) <= Math.abs(a.diameter - b.diameter) / 2) {
        throw new RangeError("two pulleys lie in each other; look at their places and diameters");
      }
    }
  }
  // Walk round the hull: from the tangent at one pulley to the pulley whose common tangent turns least. The hull's
  // outermost point in a direction belongs to the pulley with the greatest support there, which changes at tangents.
  const first = pulleys.reduce((best, pulley) =>
    pulley.x + pulley.diameter / 2 > best.x + best.diameter / 2 ? pulley : best,
  );
  let length = 0;
  let current = first;
  let angle = 0;
  for (let step = 0; step < 4 * pulleys.length; step += 1) {
    let next: { readonly pulley: Pulley; readonly angle: number; readonly straight: number } | undefined;
    for (const pulley of pulleys) {
      if (pulley === current) continue;
      const distance = Math.hypot(pulley.x - current.x, pulley.y - current.y);
      const direction = Math.atan2(pulley.y - current.y, pulley.x - current.x);
      const difference = (current.diameter - pulley.diameter) / 2;
      // The outer tangent leaves at this angle of the normal, counted anticlockwise.
      const turn = positive(direction - Math.acos(difference / distance) - angle);
      if (next === undefined || turn < next.angle) {
        next = { pulley, angle: turn, straight: Math.sqrt(distance ** 2 - difference ** 2) };
      }
    }
    if (next === undefined || angle + next.angle >= 2 * Math.PI - 1e-9) {
      return length + ((2 * Math.PI - angle) * current.diameter) / 2;
    }
    length += (next.angle * current.diameter) / 2 + next.straight;
    angle += next.angle;
    current = next.pulley;
  }
  throw new RangeError("no belt can be laid round these pulleys");
}

/** An angle from 0 up to a whole turn; a hair below 0 is 0. */
function positive(angle: number): number {
  const turn = 2 * Math.PI;
  const within = ((angle % turn) + turn) % turn;
  return within > turn - 1e-9 ? 0 : within;
}

/** Diameter of the motor pulley that would take a speed error away: the tape runs as fast as the pulley is large. */
export function correctedPulleyMillimetres(pulleyMillimetres: number, speedErrorRatio: number): number {
  return checked(pulleyMillimetres) / (1 + speedErrorRatio);
}
