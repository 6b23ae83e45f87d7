import { describe, expect, it } from "vitest";
import { boardLayoutOf } from "./import-layout.js";
import type { DraftPad } from "./read/netlist-draft.js";

const pads = (...places: [pin: string, x: number, y: number][]): DraftPad[] =>
  places.map(([pin, xMillimetre, yMillimetre]) => ({ pin, xMillimetre, yMillimetre }));
const outline = { left: 100, top: 50, right: 200, bottom: 130 };
/** An upright package of six pins in two rows, turned clockwise about its centre (150, 100). */
const turned = (quarters: number): DraftPad[] =>
  pads(["1", -4, -2], ["2", -4, 0], ["3", -4, 2], ["4", 4, 2], ["5", 4, 0], ["6", 4, -2]).map((pad) => {
    let [x, y] = [pad.xMillimetre, pad.yMillimetre];
    for (let i = 0; i < quarters; i += 1) [x, y] = [-y, x];
    return { pin: pad.pin, xMillimetre: 150 + x, yMillimetre: 100 + y };
  });
const rotationOf = (own: DraftPad[]): number | undefined =>
  boardLayoutOf({ outline, places: new Map([["U1", { side: "front", pads: own }]]) })?.places.get("U1")
    ?.rotationDegree;

describe("a layout on a board", () => {
  it("has its origin at the top left corner of the edge", () => {
    const layout = boardLayoutOf({ outline, places: new Map([["U1", { side: "back", pads: turned(0) }]]) });
    expect(layout?.outline).toEqual({ widthMillimetre: 100, heightMillimetre: 80 });
    expect(layout?.places.get("U1")).toMatchObject({
      xMillimetre: 50,
      yMillimetre: 50,
      rotationDegree: 0,
      side: "back",
    });
    expect(layout?.places.get("U1")?.pads[3]).toEqual({ pin: "4", xMillimetre: 54, yMillimetre: 52 });
  });

  it.each([0, 1, 2, 3])("sees a package of two rows turned by %i quarters", (quarters) => {
    expect(rotationOf(turned(quarters))).toBe(quarters * 90);
  });

  it.each([
    ["to the right", 2, 0, 0],
    ["downwards", 0, 2, 90],
    ["to the left", -2, 0, 180],
    ["upwards", 0, -2, 270],
  ])("sees a row that runs %s", (_, dx, dy, rotation) => {
    expect(rotationOf(pads(["1", 10, 10], ["2", 10 + dx, 10 + dy], ["3", 10 + 2 * dx, 10 + 2 * dy]))).toBe(
      rotation,
    );
  });

  it("takes the edge from the pads where none is drawn", () => {
    const places = new Map([["R1", { side: "front" as const, pads: pads(["1", 10, 20], ["2", 30, 20]) }]]);
    expect(boardLayoutOf({ places })).toMatchObject({
      outline: { widthMillimetre: 30, heightMillimetre: 10 },
    });
    expect(boardLayoutOf({ places: new Map() })).toBeUndefined();
  });
});
