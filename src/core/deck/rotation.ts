/** The nominal speed of a cassette: 1.875 in/s. Source: BYTE, February 1976, p. 72; IEC 60094-1 rounds it to 4.76 cm/s. */
export const cassetteSpeedMetresPerSecond = 0.047625;

/** Diameters of what turns in a deck, and the length of its belt; whatever is known. */
export interface DeckGeometry {
  readonly capstanMillimetres?: number;
  readonly pinchRollerMillimetres?: number;
  /** A wheel that the motor's or the flywheel's rim drives at the speed of the tape's own. */
  readonly idlerMillimetres?: number;
  readonly flywheelMillimetres?: number;
  readonly motorPulleyMillimetres?: number;
  readonly beltMillimetres?: number;
}

/** Something that turns, with the range of its turns a second. */
export interface TurningPart {
  readonly part: "capstan" | "pinch roller" | "idler" | "motor" | "belt" | "reel";
  readonly lowestHz: number;
  readonly highestHz: number;
  /** True if a usual size was taken because none was given. */
  readonly isUsual: boolean;
}

/** Turns a second of a wheel whose rim moves at a speed: v / (π d). */
export function turnsPerSecond(diameterMillimetres: number, speedMetresPerSecond: number): number {
  if (!(diameterMillimetres > 0))
    throw new RangeError(`a diameter must be positive, got ${diameterMillimetres}`);
  return (1000 * speedMetresPerSecond) / (Math.PI * diameterMillimetres);
}

/** Usual sizes in millimetres. Common practice, no source; the reels of a cassette go from its hub to a full pack. */
const usual = { capstan: [1.8, 3], pinchRoller: [10, 14], reel: [21, 52] } as const;
/** How far a given size may be off. */
const measuringRatio = 0.02;

/**
 * What turns in a deck at a tape speed, from the sizes that are given; for capstan, pinch roller and reels usual sizes
 * stand in. A belt runs round once while its length passes over the flywheel's rim; the motor turns as the rims compare.
 */
export function turningParts(
  geometry: DeckGeometry,
  speedMetresPerSecond: number = cassetteSpeedMetresPerSecond,
): TurningPart[] {
  const { capstanMillimetres: capstan, pinchRollerMillimetres: roller } = geometry;
  const { idlerMillimetres: idler, flywheelMillimetres: flywheel } = geometry;
  const { motorPulleyMillimetres: pulley, beltMillimetres: belt } = geometry;
  const exact = (part: TurningPart["part"], hz: number): TurningPart => ({
    part,
    lowestHz: hz * (1 - measuringRatio),
    highestHz: hz * (1 + measuringRatio),
    isUsual: false,
  });
  const range = (part: TurningPart["part"], [small, large]: readonly [number, number]): TurningPart => ({
    part,
    lowestHz: turnsPerSecond(large, speedMetresPerSecond),
    highestHz: turnsPerSecond(small, speedMetresPerSecond),
    isUsual: true,
  });
  const wheel = (millimetres: number): number => turnsPerSecond(millimetres, speedMetresPerSecond);
  const parts: TurningPart[] = [
    capstan === undefined ? range("capstan", usual.capstan) : exact("capstan", wheel(capstan)),
    roller === undefined ? range("pinch roller", usual.pinchRoller) : exact("pinch roller", wheel(roller)),
  ];
  if (idler !== undefined) parts.push(exact("idler", wheel(idler)));
  if (capstan !== undefined && flywheel !== undefined) {
    const rim = Math.PI * flywheel * wheel(capstan);
    if (pulley !== undefined) parts.push(exact("motor", rim / (Math.PI * pulley)));
    if (belt !== undefined) parts.push(exact("belt", rim / belt));
  }
  parts.push(range("reel", usual.reel));
  return parts;
}

/** A part that may cause a flutter, by its turns or a multiple of them. */
export interface FlutterCause {
  readonly part: TurningPart["part"];
  /** 1 for once a turn, 2 for twice. */
  readonly harmonic: number;
  /** Turns a second that the size gives; absent for a usual size, which gives a range only. */
  readonly turnsHz?: number;
  readonly isUsual: boolean;
}

/** A wheel that is not round shows once and twice a turn, rarely oftener. */
const highestHarmonic = 3;

/**
 * The parts that can cause a flutter at `hz`, the most likely first: given sizes before usual ones, low harmonics before
 * high ones, and then the nearer.
 */
export function causesOf(hz: number, parts: readonly TurningPart[]): FlutterCause[] {
  const found: (FlutterCause & { readonly distance: number })[] = [];
  for (const { part, lowestHz, highestHz, isUsual } of parts) {
    // For a usual size only whole turns say anything; the multiples of a wide range cover everything.
    for (let harmonic = 1; harmonic <= (isUsual ? 1 : highestHarmonic); harmonic += 1) {
      if (hz < lowestHz * harmonic || hz > highestHz * harmonic) continue;
      const middle = (lowestHz + highestHz) / 2;
      const distance = Math.abs(hz / harmonic / middle - 1);
      found.push({ part, harmonic, isUsual, distance, ...(isUsual ? {} : { turnsHz: middle }) });
    }
  }
  found.sort(
    (a, b) => Number(a.isUsual) - Number(b.isUsual) || a.harmonic - b.harmonic || a.distance - b.distance,
  );
  return found.map(({ distance: _, ...cause }) => cause);
}
