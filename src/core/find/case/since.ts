import { tellsDrop, tellsRipple } from "../evidence/bind-meter.js";
import { isMisplaced, partNamed, placeNamed } from "../evidence/place-name.js";
import type { FindModel } from "../model/model.js";
import type { Circuit } from "../settle/build.js";
import { pinLabel } from "../settle/circuit.js";
import { type Case, type CaseEntry, standingEntries } from "./case.js";

/** Machine observables reported since the last change of the machine. */
export function reportedSince(model: FindModel, logged: Case): Set<string> {
  const reported = new Set<string>();
  for (const { entry } of standingEntries(logged.entries)) {
    if (changesMachine(entry) && entry.result !== "unchanged") reported.clear();
    if (entry.kind !== "symptom") continue;
    const symptom = model.symptoms.find((s) => s.id === entry.what);
    if (symptom !== undefined) reported.add(symptom.observable);
  }
  return reported;
}

/** Ids of readings taken since the last change, named as the plan names them. */
export function takenSince(circuit: Circuit, logged: Case): Set<string> {
  const taken = new Set<string>();
  for (const { entry } of standingEntries(logged.entries)) {
    // A repair that changed nothing leaves every reading as good as it was.
    if (changesMachine(entry) && entry.result !== "unchanged") taken.clear();
    for (const id of proposalIds(circuit, entry)) taken.add(id);
  }
  return taken;
}

/** True for entries after which the machine is no longer what it was. */
export function changesMachine(
  entry: CaseEntry,
): entry is Extract<CaseEntry, { kind: "swap" | "repair" | "reseat" }> {
  return entry.kind === "swap" || entry.kind === "repair" || entry.kind === "reseat";
}

function proposalIds(circuit: Circuit, entry: CaseEntry): string[] {
  switch (entry.kind) {
    case "piggyback": {
      const place = partNamed(circuit, entry.part);
      return "message" in place ? [] : [`piggyback:${place.label}`];
    }
    case "memory-test":
      return entry.by === "self-test" ? ["self-test"] : [];
    case "other-supply":
    case "warmed":
    case "cooled":
    case "flexed":
      return [entry.kind];
    case "removed":
      return removalIds(circuit, entry);
    case "reading":
      return readingIds(circuit, entry);
    default:
      return [];
  }
}

function removalIds(circuit: Circuit, entry: Extract<CaseEntry, { kind: "removed" }>): string[] {
  const place = placeNamed(circuit, entry.part, "part");
  const watched = placeNamed(circuit, entry.at);
  if (isMisplaced(place) || isMisplaced(watched)) return [];
  if (place.kind === "pin") return [`lifted:${place.label}`];
  const net = watched.kind === "net" || watched.kind === "pin" ? circuit.wiring.nets[watched.net] : undefined;
  return net === undefined ? [] : [`removal:${place.label}:${net}`];
}

const partReadings: Readonly<Record<string, string>> = {
  eye: "visual",
  finger: "heat",
  thermometer: "heat",
  "chip-tester": "tester",
  multimeter: "device",
};

/** What a bare name means that a part and a net share: a part for readings on a part, else the net. */
export function preferredPlace(entry: Extract<CaseEntry, { kind: "reading" }>): "net" | "part" {
  if (entry.with === "logic-probe" || entry.with === "oscilloscope" || entry.with === "twin") return "net";
  return entry.with === "multimeter" && entry.volts !== undefined ? "net" : "part";
}

function readingIds(circuit: Circuit, entry: Extract<CaseEntry, { kind: "reading" }>): string[] {
  const place = placeNamed(circuit, entry.at, preferredPlace(entry));
  if (isMisplaced(place)) return [];
  switch (place.kind) {
    case "supply":
      return ["current"];
    case "part": {
      if (place.neighbours === true) return [`neighbours:${circuit.wiring.parts[place.part]?.part.ref}`];
      const kind = partReadings[entry.with];
      if (kind === undefined) return [];
      if (entry.with !== "multimeter") return [`${kind}:${place.label}`];
      return entry.outOfCircuit === true
        ? [`device:${place.label}`, `lifted-part:${place.label}`]
        : [`device:${place.label}`];
    }
    case "board":
      return [entry.with === "eye" ? "visual-sweep" : "heat-sweep"];
    case "pins": {
      const [first, second] = [pinLabel(circuit.wiring, place.first), pinLabel(circuit.wiring, place.second)];
      return [`continuity:${first}-${second}`, `continuity:${second}-${first}`];
    }
    default: {
      const net = circuit.wiring.nets[place.net] ?? "";
      const unpowered = entry.ohms !== undefined || entry.when === "unpowered";
      if (unpowered) return [`short:${net}`];
      if (circuit.wiring.netDuty[place.net] !== 1) return [`${entry.with}:${net}`];
      if (tellsDrop(circuit, entry)) return [`rail-drop:${net}`];
      if (tellsRipple(entry)) return [`ripple:${net}`];
      // That a probe has seen the rail does not tell its voltage.
      if (entry.volts === undefined && (entry.with === "logic-probe" || entry.with === "oscilloscope"))
        return [`${entry.with}:${net}`];
      return [place.kind === "pin" ? `rail-at:${place.label}` : `rail:${net}`];
    }
  }
}
