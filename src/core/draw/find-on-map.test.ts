import { describe, expect, it } from "vitest";
import type { BoardMap, MapPart } from "./board-map.js";
import { findOnMap, touchPoints } from "./find-on-map.js";
import { suggestMarks } from "./photo/suggest-marks.js";

function part(ref: string, type: string, shape: MapPart["shape"], nets: readonly string[], at = 0): MapPart {
  return {
    ref,
    type,
    title: "",
    section: "other",
    socketed: false,
    shape,
    body: { x: at, y: 0, width: 6, height: 18 },
    rotationDegree: 0,
    pins: nets.map((net, i) => ({ pin: String(i + 1), name: `P${i + 1}`, net, x: at, y: i * 2.54 })),
    pinOne: "1",
    side: "component",
  };
}

const map: BoardMap = {
  id: "b",
  title: "B",
  widthMillimetre: 200,
  heightMillimetre: 100,
  extent: { x: 0, y: 0, width: 200, height: 100 },
  parts: [
    part("R1", "resistor", "axial", ["AB3", "+5V"], 90),
    part("U10", "74LS157", "chip", ["AB3", "CAS"], 10),
    part("U2", "74LS157", "chip", ["AB4", "AB3"], 60),
    part("U3", "Z80", "chip", ["AB4", "CAS"], 180),
    { ...part("TP1", "test-point", "point", ["AB3"], 30), value: "A3" },
  ],
};

describe("finding on the map", () => {
  it("takes parts, pins, nets and types, in any case", () => {
    expect(findOnMap(map, "u10")).toMatchObject({ kind: "part", spots: [{ ref: "U10", pin: null }] });
    expect(findOnMap(map, "U2.1")).toMatchObject({
      kind: "pin",
      spots: [{ ref: "U2", pin: "1" }],
      net: "AB4",
    });
    expect(findOnMap(map, "U2.p2")).toMatchObject({ kind: "pin", spots: [{ ref: "U2", pin: "2" }] });
    expect(findOnMap(map, "cas")).toMatchObject({ kind: "net", net: "CAS" });
    expect(findOnMap(map, "74ls").spots.map(({ ref }) => ref)).toEqual(["U2", "U10"]);
    expect(findOnMap(map, "a3")).toMatchObject({ kind: "type", spots: [{ ref: "TP1", pin: null }] });
  });

  it("offers the lines that begin so where there are several", () => {
    expect(findOnMap(map, "AB")).toMatchObject({ kind: "nothing", says: "Lines: AB3, AB4" });
    expect(findOnMap(map, "xyz")).toMatchObject({ kind: "nothing" });
    expect(findOnMap(map, " ")).toMatchObject({ kind: "nothing", says: "" });
  });

  it("names test points first, then chips, then joints", () => {
    expect(touchPoints(map, "AB3").map(({ ref, pin }) => `${ref}.${pin}`)).toEqual([
      "TP1.1",
      "U2.2",
      "U10.1",
      "R1.1",
    ]);
  });
});

describe("marks for a picture", () => {
  it("are the chips farthest apart first", () => {
    expect(suggestMarks(map).map(({ ref }) => ref)).toEqual(["U10", "U3", "U2"]);
  });
});
