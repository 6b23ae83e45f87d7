import { describe, expect, it } from "vitest";
import { createRandom } from "../../base/random.js";
import type { Board } from "../board.js";
import type { ConnectionFact } from "./connection.js";
import { growBoard } from "./grow.js";

/** A board from lines like `U1.1=A U1.2=B`; `U1.3=` leaves a pin open. */
function board(text: string): Board {
  const parts = new Map<string, Record<string, string>>();
  for (const word of text.split(/\s+/)) {
    const [pin = "", net = ""] = word.split("=");
    const [ref = "", number = ""] = pin.split(".");
    const pins = parts.get(ref) ?? {};
    if (net !== "") pins[number] = net;
    parts.set(ref, pins);
  }
  return {
    formatVersion: 3,
    id: "small",
    title: "Small",
    summary: "",
    outline: { widthMillimetre: 100, heightMillimetre: 100 },
    ground: "GND",
    rails: [{ net: "+5V", nominalVolt: 5, tolerancePercent: 5 }],
    parts: [...parts].map(([ref, pins]) => ({
      ref,
      type: "connector",
      section: "other",
      xMillimetre: 10,
      yMillimetre: 10,
      rotationDegree: 0,
      pins,
    })),
    steady: { B: "high" },
    phases: [{ id: "p", title: "p", cycle: "none", levels: { A: "low", B: "high", C: "pulsing" } }],
    memory: [],
    chain: { memoryFigure: false, lamp: ["B"] },
    accepted: [],
    sources: [],
  };
}

/** Facts from lines like `1: U1.1 rings U2.1`. */
function facts(...lines: string[]): ConnectionFact[] {
  return lines.map((line) => {
    const [entry = "", from = "", shows = "", to = ""] = line.split(/:? /);
    return { entry: Number(entry), from, to, shows: shows === "rings" ? "rings" : "open" };
  });
}

/** Nets as `A=U1.1,U2.1`, in the order of their names. */
function nets(grown: Board): string[] {
  const pins = new Map<string, string[]>();
  for (const part of grown.parts)
    for (const [pin, net] of Object.entries(part.pins))
      pins.set(net, [...(pins.get(net) ?? []), `${part.ref}.${pin}`]);
  return [...pins].map(([net, list]) => `${net}=${list.sort().join(",")}`).sort();
}

const base = board(
  "U1.1=A U2.1=A U3.1=A U1.2=B U2.2=B U1.3=C U2.3=C U3.3=C U4.1= U4.2= U1.7=GND U2.7=GND U1.14=+5V U2.14=+5V",
);

describe("growing a board", () => {
  it("leaves a board without facts as it is", () => {
    expect(growBoard(base, []).board).toBe(base);
  });

  it("joins two nets under the name of the larger one, with levels and chain", () => {
    const grown = growBoard(base, facts("5: U1.2 rings U3.1"));
    expect(nets(grown.board)).toContain("A=U1.1,U1.2,U2.1,U2.2,U3.1");
    expect([...grown.renamed]).toEqual([["B", "A"]]);
    expect(grown.board.steady).toEqual({ A: "high" });
    expect(grown.board.phases[0]?.levels).toEqual({ A: "low", C: "pulsing" });
    expect(grown.board.chain.lamp).toEqual(["A"]);
    expect(grown.changes.map(({ kind, entries }) => [kind, entries])).toEqual([["joined", [5]]]);
  });

  it("hangs open pins on a net, and makes a net for two of them", () => {
    expect(nets(growBoard(base, facts("1: U4.1 rings U1.1")).board)).toContain("A=U1.1,U2.1,U3.1,U4.1");
    expect(nets(growBoard(base, facts("1: U4.1 rings U4.2")).board)).toContain("wire-U4.1=U4.1,U4.2");
    expect(nets(growBoard(base, facts("1: U4.1 open U4.2")).board)).toEqual(nets(base));
  });

  it("parts a net: the pin named later leaves, with all that rings to it", () => {
    const one = growBoard(base, facts("1: U1.1 open U3.1"));
    expect(nets(one.board)).toEqual(expect.arrayContaining(["A=U1.1,U2.1", "wire-U3.1=U3.1"]));
    expect(one.changes.map(({ kind }) => kind)).toEqual(["left"]);
    const two = growBoard(base, facts("1: U1.1 open U3.1", "2: U2.1 rings U3.1"));
    expect(nets(two.board)).toEqual(expect.arrayContaining(["A=U2.1,U3.1", "wire-U1.1=U1.1"]));
  });

  it("moves a pin from one net to another", () => {
    const grown = growBoard(base, facts("1: U1.1 open U3.1", "2: U3.1 rings U1.2"));
    expect(nets(grown.board)).toEqual(expect.arrayContaining(["A=U1.1,U2.1", "B=U1.2,U2.2,U3.1"]));
    expect(grown.renamed.size).toBe(0);
  });

  it("says what the board had already", () => {
    const grown = growBoard(base, facts("3: U1.1 rings U2.1", "4: U1.1 open U1.2"));
    expect(nets(grown.board)).toEqual(nets(base));
    expect(grown.changes.map(({ kind }) => kind)).toEqual(["confirmed", "confirmed"]);
  });

  it("lists facts that cannot hold together, and keeps the earlier ones", () => {
    const grown = growBoard(
      base,
      facts(
        "1: U1.1 rings U1.2",
        "2: U1.2 rings U1.3",
        "3: U1.1 open U1.3",
        "4: U4.1 open U1.1",
        "5: U4.1 rings U1.3",
      ),
    );
    expect(grown.contradictions.map(({ entry, against }) => [entry, against])).toEqual([
      [3, [1, 2]],
      [5, [1, 2, 4]],
    ]);
    expect(grown.contradictions[0]?.says).toBe(
      "U1.1 to U1.3 does not ring, but by entries 1 and 2 U1.1 and U1.3 were found to be one line.",
    );
  });

  it("never ties two supplies, directly or through a pin between", () => {
    const direct = growBoard(base, facts("1: U1.7 rings U1.14"));
    expect(nets(direct.board)).toEqual(nets(base));
    expect(direct.contradictions[0]).toMatchObject({ entry: 1, against: [] });
    expect(direct.contradictions[0]?.says).toContain("a short");
    const through = growBoard(base, facts("1: U1.1 rings U1.7", "2: U2.1 rings U1.14"));
    const found = nets(through.board);
    expect(found.find((line) => line.startsWith("GND="))).toContain("U1.1");
    expect(found.find((line) => line.startsWith("+5V="))).toContain("U2.1");
  });

  it("assumes no longer what was measured", () => {
    const sketched = {
      ...base,
      parts: base.parts.map((part) => (part.ref === "U1" ? { ...part, assumedPins: ["1", "2"] } : part)),
    };
    const [u1] = growBoard(sketched, facts("1: U1.1 rings U2.1")).board.parts;
    expect(u1?.assumedPins).toEqual(["2"]);
  });

  it("passes over pins the board does not have", () => {
    expect(growBoard(base, facts("1: U9.1 rings U1.1")).board).toBe(base);
  });

  it("keeps every fact that it does not list as contradicted, whatever the facts", () => {
    const pins = ["U1.1", "U2.1", "U3.1", "U1.2", "U2.2", "U1.3", "U2.3", "U4.1", "U4.2", "U1.7", "U1.14"];
    for (let seed = 1; seed <= 400; seed += 1) {
      const random = createRandom(seed);
      const pick = (): string => pins[random.below(pins.length)] ?? "U1.1";
      const drawn = Array.from({ length: 1 + random.below(9) }, (_, i): ConnectionFact => {
        const from = pick();
        const others = pins.filter((pin) => pin !== from);
        const to = others[random.below(others.length)] ?? "U2.2";
        return { entry: i + 1, from, to, shows: random.below(2) === 0 ? "rings" : "open" };
      });
      const grown = growBoard(base, drawn);
      const netOf = new Map<string, string>(
        grown.board.parts.flatMap(({ ref, pins: own }) =>
          Object.entries(own).map(([pin, net]) => [`${ref}.${pin}`, net] as const),
        ),
      );
      const refused = new Set(grown.contradictions.map(({ entry }) => entry));
      for (const { entry, from, to, shows } of drawn) {
        if (refused.has(entry)) continue;
        const isOne = netOf.has(from) && netOf.get(from) === netOf.get(to);
        expect(isOne, `seed ${seed}, entry ${entry}: ${from} ${shows} ${to}`).toBe(shows === "rings");
      }
      for (const [i, { entry }] of drawn.entries()) {
        if (!refused.has(entry)) continue;
        const without = growBoard(
          base,
          drawn.filter((_, k) => k !== i),
        );
        expect(nets(without.board), `seed ${seed}: entry ${entry} was to change nothing`).toEqual(
          nets(grown.board),
        );
      }
    }
  });
});
