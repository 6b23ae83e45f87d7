import { describe, expect, it } from "vitest";
import { loadCircuit } from "../../../../test/support/board-effects.js";
import { isMisplaced, type Misplaced, type Place, placeNamed } from "./place-name.js";

const pellow = loadCircuit("pellow-16");
const merrow = loadCircuit("merrow");

function found(name: string, circuit = pellow): Place {
  const place = placeNamed(circuit, name);
  if (isMisplaced(place)) throw new Error(place.message);
  return place;
}

function lost(name: string, circuit = pellow): Misplaced {
  const place = placeNamed(circuit, name);
  if (!isMisplaced(place)) throw new Error(`'${name}' was placed as ${place.label}`);
  return place;
}

/** `net +12`, `pin U17.8 on +5` and so on. */
function inWords(place: Place, circuit = pellow): string {
  const { wiring } = circuit;
  switch (place.kind) {
    case "net":
      return `net ${wiring.nets[place.net]}`;
    case "pin":
      return `pin ${place.label} on ${wiring.nets[place.net] ?? "nothing"}`;
    case "pins":
      return `pins ${[place.first, place.second].map((pin) => `${wiring.parts[wiring.pins[pin]?.part ?? -1]?.part.ref}.${wiring.pins[pin]?.number}`).join(" ")}`;
    case "part":
      return `part ${wiring.parts[place.part]?.part.ref}`;
    case "supply":
    case "board":
      return place.kind;
  }
}

describe("a place name", () => {
  it.each([
    ["U17.8", "pin U17.8 on +12"],
    ["u17.8", "pin U17.8 on +12"],
    [" U17.8 ", "pin U17.8 on +12"],
    ["U5.39", "pin U5.39 on PHI2"],
    ["U17", "part U17"],
    ["supply", "supply"],
    ["/RAS", "net /RAS"],
    ["net:/RAS", "net /RAS"],
    ["net:+5", "net +5"],
    ["rail:+5", "net +5"],
    ["rail: +12", "net +12"],
    ["rail:raw +9", "net RAW +9"],
    ["U17.8-U18.8", "pins U17.8 U18.8"],
    ["U17.8 - u18.8", "pins U17.8 U18.8"],
    ["u17 Neighbours", "part U17"],
  ])("reads %s", (name, expected) => {
    expect(inWords(found(name))).toBe(expected);
  });

  it("keeps the pins of a part, each against the next, apart from the part", () => {
    expect(found("U17 neighbours")).toMatchObject({ label: "U17 neighbours", neighbours: true });
    expect(found("U17")).not.toHaveProperty("neighbours");
    expect(lost("U99 neighbours").message).toMatch(/no part, pin or net called 'U99'/);
  });

  it("takes a pin by the name its type gives it", () => {
    expect(inWords(found("U5.A0"))).toBe(inWords(found("U5.9")));
  });

  it("finds a rail by its voltage, a regulated one before a raw one", () => {
    expect(inWords(found("rail:-5V"))).toBe("net -5");
    expect(inWords(found("rail:+12V"))).toBe("net +12");
    expect(inWords(found("rail:5 v"))).toBe("net +5");
    expect(inWords(found("rail:19V"))).toBe("net RAW +19");
    expect(inWords(found("rail:-12V", merrow), merrow)).toBe("net -12V");
  });

  it("places a leg that is left open on no net", () => {
    const open = pellow.wiring.pins.find((pin) => pin.net < 0);
    if (open === undefined) throw new Error("the board has no open pin");
    const name = `${pellow.wiring.parts[open.part]?.part.ref}.${open.number}`;
    expect(found(name)).toMatchObject({ kind: "pin", net: -1, label: name });
  });

  it.each([
    ["U99", "there is no part, pin or net called 'U99' on Pellow 16", undefined],
    ["U17.17", "U17 (4116) has no pin '17'", "Its pins are 1 to 16."],
    ["U17.8-U18.99", "U18 (4116) has no pin '99'", "Its pins are 1 to 16."],
    ["net:/RASS", "there is no net called '/RASS' on Pellow 16", "Did you mean /RAS?"],
    ["/CASS", "there is no part, pin or net called '/CASS' on Pellow 16", "Did you mean /CAS?"],
    ["rail:+3.3V", "there is no rail called '+3.3V' on Pellow 16", undefined],
  ])("says in one sentence why %s is none", (name, message, hint) => {
    const misplaced = lost(name);
    expect(misplaced.message).toBe(message);
    if (hint !== undefined) expect(misplaced.hint).toBe(hint);
  });

  it("lists the rails for an unknown one", () => {
    expect(lost("rail:+9V", merrow).hint).toBe(
      "Its rails are +5V, +12V, -12V, +5V FEED, +12V FEED, -12V FEED.",
    );
  });
});
