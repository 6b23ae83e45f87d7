import { describe, expect, it } from "vitest";
import { createRandom } from "../../base/random.js";
import { type Affine, inverseOf, type Mark, mapPoint, registerPhoto } from "./register.js";

const askew: Affine = { a: 11, b: 2, c: -1.5, d: 12, e: 300, f: 80 };
const corners = [
  { x: 10, y: 8 },
  { x: 180, y: 12 },
  { x: 95, y: 120 },
  { x: 20, y: 118 },
];

function marksBy(map: Affine, points: readonly { x: number; y: number }[]): Mark[] {
  return points.map((board) => ({ board, photo: mapPoint(map, board) }));
}

function expectSame(found: Affine | undefined, wanted: Affine): void {
  for (const key of ["a", "b", "c", "d", "e", "f"] as const)
    expect(found?.[key], key).toBeCloseTo(wanted[key], 6);
}

describe("laying a picture over its board", () => {
  it("finds any affine map from three marks or more", () => {
    for (const count of [3, 4]) {
      const found = registerPhoto(marksBy(askew, corners.slice(0, count)), "component");
      expectSame(found?.toPhoto, askew);
      expect(found?.errorMillimetre).toBeCloseTo(0, 6);
    }
  });

  it("finds turn, scale and shift from two, mirrored for the solder side", () => {
    const straight: Affine = { a: 6, b: 8, c: -8, d: 6, e: 40, f: -7 };
    expectSame(registerPhoto(marksBy(straight, corners.slice(0, 2)), "component")?.toPhoto, straight);
    const mirrored: Affine = { a: -6, b: -8, c: -8, d: 6, e: 900, f: 30 };
    expectSame(registerPhoto(marksBy(mirrored, corners.slice(0, 2)), "solder")?.toPhoto, mirrored);
  });

  it("takes marks on one line for a picture held straight", () => {
    const straight: Affine = { a: 10, b: 0, c: 0, d: 10, e: 0, f: 0 };
    const line = [
      { x: 10, y: 20 },
      { x: 60, y: 20 },
      { x: 110, y: 20 },
    ];
    expectSame(registerPhoto(marksBy(straight, line), "component")?.toPhoto, straight);
  });

  it("says how far marks that do not agree lie off", () => {
    const marks = marksBy({ a: 10, b: 0, c: 0, d: 10, e: 0, f: 0 }, corners).map((mark, i) =>
      i === 0 ? { ...mark, photo: { x: mark.photo.x + 20, y: mark.photo.y } } : mark,
    );
    const error = registerPhoto(marks, "component")?.errorMillimetre ?? 0;
    expect(error).toBeGreaterThan(0.1);
    expect(error).toBeLessThan(2);
  });

  it("is the map with the least sum of squares: no small change makes it smaller", () => {
    const random = createRandom(5);
    const noisy = marksBy(askew, corners).map(({ board, photo }) => ({
      board,
      photo: { x: photo.x + 30 * random.next(), y: photo.y + 30 * random.next() },
    }));
    const best = registerPhoto(noisy, "component")?.toPhoto ?? askew;
    const cost = (map: Affine): number =>
      noisy.reduce((sum, { board, photo }) => {
        const seen = mapPoint(map, board);
        return sum + (seen.x - photo.x) ** 2 + (seen.y - photo.y) ** 2;
      }, 0);
    for (const key of ["a", "b", "c", "d", "e", "f"] as const)
      for (const by of [-1e-3, 1e-3])
        expect(cost({ ...best, [key]: best[key] + by })).toBeGreaterThan(cost(best));
  });

  it("refuses marks that tell too little", () => {
    expect(registerPhoto([], "component")).toBeUndefined();
    expect(registerPhoto(marksBy(askew, corners.slice(0, 1)), "component")).toBeUndefined();
    const close = [
      { x: 10, y: 10 },
      { x: 14, y: 10 },
      { x: 12, y: 13 },
    ];
    expect(registerPhoto(marksBy(askew, close), "component")).toBeUndefined();
    const onePixel = corners.map((board) => ({ board, photo: { x: 5, y: 5 } }));
    expect(registerPhoto(onePixel, "component")).toBeUndefined();
  });

  it("can be turned round", () => {
    const back = mapPoint(inverseOf(askew), mapPoint(askew, { x: 33, y: 44 }));
    expect(back.x).toBeCloseTo(33, 9);
    expect(back.y).toBeCloseTo(44, 9);
    expect(() => inverseOf({ a: 1, b: 2, c: 2, d: 4, e: 0, f: 0 })).toThrow(RangeError);
  });
});
