import { describe, expect, it } from "vitest";
import { createScene, hitTest, placeOf } from "./scene.js";
import { fitBox, keepInSight, type MapView, panBy, toBoard, zoomAt } from "./view.js";

const size = { width: 600, height: 400 };
const board = { x: -10, y: -5, width: 320, height: 210 };

describe("the view of a map", () => {
  it("fits a box and centres it", () => {
    const view = fitBox(board, size);
    expect(view.pixelPerMillimetre).toBeCloseTo(600 / 320);
    expect(toBoard(view, { x: 300, y: 200 })).toEqual({ x: 150, y: 100 });
  });

  it("zooms round the point under the finger", () => {
    const view = fitBox(board, size);
    const at = { x: 130, y: 77 };
    const before = toBoard(view, at);
    const after = toBoard(zoomAt(view, 3, at), at);
    expect(after.x).toBeCloseTo(before.x);
    expect(after.y).toBeCloseTo(before.y);
  });

  it("moves with the finger, and not out of sight", () => {
    const view = fitBox(board, size);
    const moved = panBy(view, 60, 0);
    expect(moved.left).toBeCloseTo(view.left - 60 / view.pixelPerMillimetre);
    const lost: MapView = { ...view, left: 10_000, top: -10_000 };
    const kept = keepInSight(lost, board, size);
    expect(kept.left).toBeLessThan(board.x + board.width);
    expect(kept.top + size.height / kept.pixelPerMillimetre).toBeGreaterThan(board.y);
  });
});

describe("a scene", () => {
  const part = {
    ref: "U1",
    type: "74LS00",
    title: "",
    section: "other",
    socketed: false,
    shape: "chip",
    body: { x: 10, y: 10, width: 6, height: 18 },
    rotationDegree: 0,
    pins: [
      { pin: "1", name: "", net: "A", x: 9, y: 12 },
      { pin: "14", name: "", net: "B", x: 17, y: 12 },
    ],
    pinOne: "1",
    side: "component",
  } as const;
  const map = {
    id: "b",
    title: "B",
    widthMillimetre: 100,
    heightMillimetre: 50,
    extent: { x: -4, y: -4, width: 108, height: 58 },
    parts: [part],
  };
  const reach = { pinReach: 1.27, partReach: 2 };

  it("finds the pin under a finger, else the part, else nothing", () => {
    const scene = createScene(map, new Map(), false);
    expect(hitTest(scene, { x: 9.3, y: 12.4 }, reach)).toEqual({ ref: "U1", pin: "1" });
    expect(hitTest(scene, { x: 13, y: 25 }, reach)).toEqual({ ref: "U1", pin: null });
    expect(hitTest(scene, { x: 60, y: 25 }, reach)).toBeNull();
  });

  it("exchanges left and right when seen from the solder side", () => {
    const scene = createScene(map, new Map(), true);
    expect(placeOf(scene, { ref: "U1", pin: "1" })?.x).toBe(91);
    expect(placeOf(scene, { ref: "U1", pin: null })?.x).toBe(87);
    expect(hitTest(scene, { x: 83, y: 12 }, reach)).toEqual({ ref: "U1", pin: "14" });
  });
});
