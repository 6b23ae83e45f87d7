import type { BoardMap, MapPart, MapPin } from "../../core/draw/board-map.js";
import type { Box } from "../../core/draw/footprint.js";
import { type SuspicionStep, suspicionStep } from "../../core/draw/suspicion.js";

/** A pin or a whole part of the board. */
export interface Spot {
  readonly ref: string;
  readonly pin: string | null;
}

/** What is to be marked on the map. */
export interface MapMarks {
  readonly suspicion: ReadonlyMap<string, number>;
  readonly probes: readonly Spot[];
  readonly chosen: Spot | null;
  /** What a search has found. */
  readonly found: readonly Spot[];
}

/** A part ready to be painted: its places as they are seen, mirrored or not. */
export interface ScenePart {
  readonly part: MapPart;
  readonly body: Box;
  readonly pins: readonly (MapPin & { readonly seenX: number })[];
  readonly step: SuspicionStep;
  readonly chance: number;
}

/** Everything that painting needs and panning does not change. */
export interface Scene {
  readonly map: BoardMap;
  readonly parts: readonly ScenePart[];
  readonly extent: Box;
  readonly mirrored: boolean;
}

/** The scene of a board with its suspects; seen from the solder side left and right are exchanged. */
export function createScene(map: BoardMap, suspicion: ReadonlyMap<string, number>, mirrored: boolean): Scene {
  const seenX = (x: number): number => (mirrored ? map.widthMillimetre - x : x);
  const seenBox = (box: Box): Box => (mirrored ? { ...box, x: seenX(box.x + box.width) } : box);
  const parts = map.parts.map((part) => {
    const chance = suspicion.get(part.ref) ?? 0;
    const pins = part.pins.map((pin) => ({ ...pin, seenX: seenX(pin.x) }));
    return { part, body: seenBox(part.body), pins, step: suspicionStep(chance), chance };
  });
  return { map, parts, extent: seenBox(map.extent), mirrored };
}

/** Where a spot is seen, and how far it reaches in millimetres; undefined if the board has no such spot. */
export function placeOf(scene: Scene, spot: Spot): { x: number; y: number; reach: number } | undefined {
  const found = scene.parts.find(({ part }) => part.ref === spot.ref);
  if (found === undefined) return undefined;
  const pin = spot.pin === null ? undefined : found.pins.find((one) => one.pin === spot.pin);
  if (pin !== undefined) return { x: pin.seenX, y: pin.y, reach: 1.2 };
  const { x, y, width, height } = found.body;
  return { x: x + width / 2, y: y + height / 2, reach: Math.max(width, height) / 2 };
}

/**
 * What lies under a point: the nearest pin within `pinReach` millimetres, else the smallest part whose body is no
 * farther than `partReach`; null if there is neither.
 */
export function hitTest(
  scene: Scene,
  at: { x: number; y: number },
  { pinReach, partReach }: { readonly pinReach: number; readonly partReach: number },
): Spot | null {
  let nearest: Spot | null = null;
  let best = pinReach;
  for (const { part, pins } of scene.parts) {
    for (const pin of pins) {
      const distance = Math.hypot(pin.seenX - at.x, pin.y - at.y);
      if (distance < best) {
        best = distance;
        nearest = { ref: part.ref, pin: pin.pin };
      }
    }
  }
  if (nearest !== null) return nearest;
  let smallest = Number.POSITIVE_INFINITY;
  for (const { part, body } of scene.parts) {
    const inside =
      at.x > body.x - partReach &&
      at.x < body.x + body.width + partReach &&
      at.y > body.y - partReach &&
      at.y < body.y + body.height + partReach;
    const area = body.width * body.height;
    if (inside && area < smallest) {
      smallest = area;
      nearest = { ref: part.ref, pin: null };
    }
  }
  return nearest;
}
