import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { type Board, boardSchema } from "../board/board.js";
import { type PartType, partTypeFileSchema } from "../board/part-type.js";
import { boardMapOf, type MapPart } from "./board-map.js";
import { hatchPath, renderBoardMap } from "./board-map-svg.js";
import { footprintOf, placeFootprint } from "./footprint.js";
import { compareNatural } from "./natural-order.js";
import { pinoutRows, renderPinout } from "./pinout.js";
import { percentText, suspicionStep } from "./suspicion.js";
import { stepTowards } from "./walk.js";

const data = new URL("../../../data/", import.meta.url);
const types = new Map<string, PartType>(
  readdirSync(new URL("part-types/", data))
    .filter((name) => name.endsWith(".json"))
    .flatMap((name) => partTypeFileSchema.parse(readJson(`part-types/${name}`)).types)
    .map((type) => [type.type, type]),
);
const boards = ["merrow", "pellow-16"].map((id): Board => boardSchema.parse(readJson(`boards/${id}.json`)));

function readJson(path: string): unknown {
  return JSON.parse(readFileSync(new URL(path, data), "utf8"));
}

function partOf(map: { readonly parts: readonly MapPart[] }, ref: string): MapPart {
  const part = map.parts.find((one) => one.ref === ref);
  if (part === undefined) throw new Error(`the board has no ${ref}`);
  return part;
}

const maps = boards.map((board) => boardMapOf(board, (name) => types.get(name)));
const [merrow, pellow] = maps;
if (merrow === undefined || pellow === undefined) throw new Error("the demonstration boards are missing");

describe("a footprint", () => {
  it("of a dual-in-line chip goes down the left and up the right, 2.54 mm apart, rows 7.62 mm apart", () => {
    const chip = footprintOf({ pins: {} }, types.get("74LS00"));
    const at = (pin: string) => chip.pads.find((pad) => pad.pin === pin);
    expect(chip.pads).toHaveLength(14);
    expect(at("1")).toEqual({ pin: "1", x: -3.81, y: -7.62 });
    expect(at("7")?.x).toBe(-3.81);
    expect(at("8")?.x).toBe(3.81);
    expect(at("8")?.y).toBeCloseTo(7.62);
    expect(at("14")?.y).toBeCloseTo(-7.62);
  });

  it("turns clockwise: pin 1 of an upright chip comes to the top right", () => {
    const chip = footprintOf({ pins: {} }, types.get("LM393"));
    const placed = placeFootprint(chip, { x: 100, y: 50, rotationDegree: 90 });
    const one = placed.pads.find((pad) => pad.pin === "1");
    expect(one?.x).toBeCloseTo(103.81);
    expect(one?.y).toBeCloseTo(46.19);
    expect(placed.body.width).toBeGreaterThan(placed.body.height);
  });
});

describe("a board map", () => {
  it.each(maps.map((map) => [map.id, map] as const))(
    "of %s has every part and every pin of the board",
    (id, map) => {
      const board = boards.find((one) => one.id === id);
      expect(map.parts.map((part) => part.ref)).toEqual(board?.parts.map((part) => part.ref));
      for (const part of board?.parts ?? []) {
        const drawn = new Map(partOf(map, part.ref).pins.map((pin) => [pin.pin, pin.net]));
        for (const [pin, net] of Object.entries(part.pins))
          expect(drawn.get(pin), `${part.ref}.${pin}`).toBe(net);
      }
    },
  );

  it.each(maps.map((map) => [map.id, map] as const))(
    "of %s lets no two chips lie on each other",
    (_, map) => {
      const chips = map.parts.filter((part) => part.shape === "chip");
      const clashes = chips.flatMap((a, i) =>
        chips
          .slice(i + 1)
          .filter(
            (b) =>
              a.body.x < b.body.x + b.body.width &&
              b.body.x < a.body.x + a.body.width &&
              a.body.y < b.body.y + b.body.height &&
              b.body.y < a.body.y + a.body.height,
          )
          .map((b) => `${a.ref} ${b.ref}`),
      );
      expect(clashes).toEqual([]);
    },
  );

  it.each(maps.map((map) => [map.id, map] as const))(
    "of %s keeps all pads of chips on the board",
    (_, map) => {
      const pads = map.parts.filter((part) => part.shape === "chip").flatMap((part) => part.pins);
      expect(pads.length).toBeGreaterThan(500);
      for (const { x, y } of pads) {
        expect(x > 0 && x < map.widthMillimetre && y > 0 && y < map.heightMillimetre).toBe(true);
      }
    },
  );

  it("draws a keyboard outside the edge it is nearest to", () => {
    expect(partOf(merrow, "KB1").body.y).toBeGreaterThan(merrow.heightMillimetre);
    expect(partOf(pellow, "PB1").body.y).toBeLessThan(0);
    expect(merrow.extent.y + merrow.extent.height).toBeGreaterThan(merrow.heightMillimetre + 5);
  });

  it("gives a pin left open no line, and a connector the pins up to its highest", () => {
    expect(partOf(merrow, "U10").pins.find((pin) => pin.pin === "1")?.net).toBeNull();
    expect(
      partOf(merrow, "J5")
        .pins.map((pin) => pin.pin)
        .slice(0, 3),
    ).toEqual(["1", "2", "3"]);
  });
});

describe("a drawn board map", () => {
  it("marks suspects in words and by hatching, and rings the probe point", () => {
    const plain = renderBoardMap(pellow);
    const marked = renderBoardMap(pellow, {
      suspicion: new Map([["U12", 0.34]]),
      probes: [{ ref: "U12", pin: "6" }],
    });
    expect(plain).not.toContain("34 %");
    expect(marked).toContain("34 %");
    expect(marked.match(/<path /g)?.length).toBe((plain.match(/<path /g)?.length ?? 0) + 1);
    expect(marked.match(/stroke="#b8370b"/g)).toHaveLength(1);
    expect(renderBoardMap(pellow)).toBe(plain);
  });

  it("refuses a probe point that the map does not have", () => {
    expect(() => renderBoardMap(pellow, { probes: [{ ref: "U12", pin: "99" }] })).toThrow(RangeError);
  });

  it("escapes what a board file calls its machine", () => {
    expect(renderBoardMap({ ...pellow, title: 'A<b>&"' })).toContain("A&lt;b&gt;&amp;");
  });

  it("keeps hatch lines inside their box", () => {
    const numbers = [...hatchPath({ x: 2, y: 3, width: 4, height: 10 }, 1.5).matchAll(/[ML](\S+) ([\d.]+)/g)];
    expect(numbers.length).toBeGreaterThan(10);
    for (const [, x, y] of numbers) {
      expect(Number(x)).toBeGreaterThanOrEqual(2);
      expect(Number(x)).toBeLessThanOrEqual(6);
      expect(Number(y)).toBeGreaterThanOrEqual(3);
      expect(Number(y)).toBeLessThanOrEqual(13);
    }
  });
});

describe("a pinout", () => {
  it("sets pin 1 across from the last pin", () => {
    const rows = pinoutRows(partOf(pellow, "U12"));
    expect(rows.map(({ left, right }) => [left?.pin, right?.pin])).toEqual([
      ["1", "14"],
      ["2", "13"],
      ["3", "12"],
      ["4", "11"],
      ["5", "10"],
      ["6", "9"],
      ["7", "8"],
    ]);
  });

  it("writes the line and the note beside a pin", () => {
    const drawn = renderPinout(partOf(pellow, "U12"), new Map([["6", "should pulse"]]));
    expect(drawn).toContain("/CASGATE · should pulse");
    expect(drawn).toContain("U12  74LS00");
  });

  it("lists the pins of a connector down one side", () => {
    expect(pinoutRows(partOf(pellow, "J1")).every((row) => row.right === null)).toBe(true);
  });
});

describe("a walk by arrow keys", () => {
  const chips = pellow.parts
    .filter((part) => part.shape === "chip")
    .map(({ ref, body }) => ({ ref, x: body.x + body.width / 2, y: body.y + body.height / 2 }));

  it("stays in its row", () => {
    let here = chips.find((chip) => chip.ref === "U17");
    const seen: string[] = [];
    for (let i = 0; i < 7 && here !== undefined; i += 1) {
      here = stepTowards(here, "right", chips);
      if (here !== undefined) seen.push(here.ref);
    }
    expect(seen).toEqual(["U18", "U19", "U20", "U21", "U22", "U23", "U24"]);
  });

  it("ends at the edge", () => {
    expect(stepTowards({ x: -100, y: 0 }, "left", chips)).toBeUndefined();
  });

  it("reaches every chip from every chip", () => {
    const [start] = chips;
    if (start === undefined) throw new Error("no chips");
    const reached = new Set([start]);
    for (const chip of reached) {
      for (const way of ["left", "right", "up", "down"] as const) {
        const next = stepTowards(chip, way, chips);
        if (next !== undefined) reached.add(next);
      }
    }
    expect(reached.size).toBe(chips.length);
  });
});

describe("steps of suspicion", () => {
  it.each([
    [0, 0],
    [0.0099, 0],
    [0.01, 1],
    [0.05, 2],
    [0.2, 3],
    [0.5, 4],
    [1, 4],
  ])("of %d is %d", (probability, step) => {
    expect(suspicionStep(probability)).toBe(step);
  });

  it("refuses what is no probability", () => {
    expect(() => suspicionStep(Number.NaN)).toThrow(RangeError);
    expect(() => suspicionStep(1.1)).toThrow(RangeError);
  });

  it("reads as people say it", () => {
    expect([0, 0.0002, 0.008, 0.034, 0.0996, 0.34, 0.99951, 1].map(percentText)).toEqual([
      "0 %",
      "< 0.1 %",
      "0.8 %",
      "3.4 %",
      "10 %",
      "34 %",
      "> 99.9 %",
      "100 %",
    ]);
  });
});

describe("natural order", () => {
  it("counts numbers by value", () => {
    expect(["U10", "U2", "A11", "A2", "U2A", "11", "2"].sort(compareNatural)).toEqual([
      "2",
      "11",
      "A2",
      "A11",
      "U2",
      "U2A",
      "U10",
    ]);
  });
});
