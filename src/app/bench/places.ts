import type { BoardMap, MapPart } from "../../core/draw/board-map.js";
import { isMisplaced, type Place, placeNamed } from "../../core/find/evidence/place-name.js";
import { ProbePoints } from "../../core/find/plan/probe-points.js";
import type { PracticeStep } from "../../core/find/practice/step.js";
import type { NextStep } from "../../core/find/result/result.js";
import type { Circuit } from "../../core/find/settle/build.js";
import type { ProbePlace } from "../api/findings.js";

/** Finds on a board's map what the places of readings and repairs name. */
export class PlaceFinder {
  private readonly circuit: Circuit;
  private readonly parts: ReadonlyMap<string, MapPart>;
  private readonly points: ProbePoints;

  constructor(circuit: Circuit, map: BoardMap) {
    this.circuit = circuit;
    this.parts = new Map(map.parts.map((part) => [part.ref, part]));
    this.points = new ProbePoints(circuit.wiring);
  }

  /** Where a proposed step is done, first tip first; none for what concerns the whole machine. */
  ofStep(step: NextStep): ProbePlace[] {
    if (step.action === "gate") return [];
    if (step.action === "repair") return this.named(step.part, "part");
    const kind = step.id.split(":", 1)[0] ?? "";
    if (kind === "symptom") return [];
    if (kind !== "removal" && kind !== "lifted") return this.named(step.at, "net");
    // A part or leg taken out, and behind a space the line that is watched.
    const gap = step.at.indexOf(" ");
    return [
      ...this.named(step.at.slice(0, gap), "part"),
      ...this.named(`net:${step.at.slice(gap + 1)}`, "net"),
    ];
  }

  /** Places that the `at` of an entry names; none for a name that is none, for the supply and the whole board. */
  named(at: string, prefer: "net" | "part"): ProbePlace[] {
    const place = placeNamed(this.circuit, at, prefer);
    return isMisplaced(place) ? [] : this.of(place);
  }

  /** The best place to touch a net; undefined for one without pins. */
  ofNet(net: number): ProbePlace | undefined {
    const point = this.points.best(net);
    return point === undefined ? undefined : this.ofPin(point.pin);
  }

  private of(place: Place): ProbePlace[] {
    switch (place.kind) {
      case "net":
        return compact([this.ofNet(place.net)]);
      case "pin":
        return compact([this.ofPin(place.pin)]);
      case "pins":
        return compact([this.ofPin(place.first), this.ofPin(place.second)]);
      case "part":
        return compact([this.ofPart(place.part)]);
      case "supply":
      case "board":
        return [];
    }
  }

  private ofPin(pin: number): ProbePlace | undefined {
    const { wiring } = this.circuit;
    const found = wiring.pins[pin];
    const part = this.parts.get(wiring.parts[found?.part ?? -1]?.part.ref ?? "");
    const pad = part?.pins.find((one) => one.pin === found?.number);
    if (found === undefined || part === undefined || pad === undefined) return undefined;
    return {
      label: `${part.ref}.${pad.pin}`,
      part: part.ref,
      pin: pad.pin,
      pinName: found.name === found.number ? "" : found.name,
      net: pad.net,
      x: pad.x,
      y: pad.y,
      side: sideOf(part),
    };
  }

  private ofPart(index: number): ProbePlace | undefined {
    const part = this.parts.get(this.circuit.wiring.parts[index]?.part.ref ?? "");
    if (part === undefined) return undefined;
    const { x, y, width, height } = part.body;
    return {
      label: part.ref,
      part: part.ref,
      pin: null,
      pinName: "",
      net: null,
      x: x + width / 2,
      y: y + height / 2,
      side: "component",
    };
  }
}

/** Legs of chips and test points are touched from above, joints of small parts and plugs from below: common practice. */
function sideOf({ shape }: MapPart): ProbePlace["side"] {
  return shape === "chip" || shape === "point" || shape === "tab" || shape === "outside"
    ? "component"
    : "solder";
}

function compact(places: readonly (ProbePlace | undefined)[]): ProbePlace[] {
  return places.filter((place) => place !== undefined);
}

/** Where a step of a practice game is done. */
export function placesOfAsk(finder: PlaceFinder, step: PracticeStep): ProbePlace[] {
  return step.action === "repair" ? finder.named(step.part, "part") : finder.named(step.at, "net");
}
