import type { Board } from "../../board/board.js";
import type { Case } from "../case/case.js";
import { standingEntries } from "../case/case.js";
import { isMisplaced, placeNamed } from "../evidence/place-name.js";
import type { Timeline } from "../evidence/timeline.js";
import type { PreparedBoard } from "../prepare.js";
import { blindnessOf, blindnessSentence, namesInShort } from "./blindness.js";

/** What the user should know besides the ranking. */
export function caseWarnings(prepared: PreparedBoard, timeline: Timeline, logged: Case): string[] {
  const warnings: string[] = [];
  if (timeline.gateImplied) {
    warnings.push(
      "The log holds powered readings, so the supply gate counts as passed; check the supply if that was not done.",
    );
  }
  const { unexplained } = prepared.circuit;
  if (unexplained.length > 0) {
    const nets = [...new Set(unexplained.map(({ net }) => net))];
    warnings.push(
      `The healthy board leaves ${unexplained.length} net values unexplained, on ${namesInShort(nets)}; readings there mean little. 'boardwake board check' lists them.`,
    );
  }
  const blind = blindnessSentence(blindnessOf(prepared.circuit));
  if (blind !== undefined) warnings.push(blind);
  return [...warnings, ...missingNegativeRail(prepared, logged)];
}

/**
 * Three-rail memory that runs without its negative rail while the positive ones are on is damaged as a rule
 * (common practice, no source).
 */
function missingNegativeRail(prepared: PreparedBoard, logged: Case): string[] {
  const { board, circuit } = prepared;
  const railAt = (net: number): Board["rails"][number] | undefined =>
    board.rails.find((one) => one.raw !== true && one.net === circuit.wiring.nets[net]);
  /** Negative voltages that were found missing, at the chips or where they are made. */
  const missing = new Set<number>();
  for (const { entry } of standingEntries(logged.entries)) {
    if (entry.kind !== "reading" || entry.with !== "multimeter") continue;
    const place = placeNamed(circuit, entry.at);
    const rail = isMisplaced(place) || !("net" in place) ? undefined : railAt(place.net);
    if (rail === undefined || rail.nominalVolt >= 0) continue;
    const absent = entry.volts === undefined ? saysAbsent(entry.shows) : entry.volts > rail.nominalVolt / 2;
    if (absent) missing.add(rail.nominalVolt);
  }
  const types = new Set<string>();
  for (const part of circuit.wiring.parts) {
    const fed = part.pins.some((pin) =>
      missing.has(railAt(circuit.wiring.pins[pin]?.net ?? -1)?.nominalVolt ?? 0),
    );
    if (part.type.family === "dram" && fed) types.add(part.type.type);
  }
  return [...types].map(
    (type) =>
      `${type} memory that ran without its negative rail while the others were on may be damaged: test all of it once the rail is back.`,
  );
}

function saysAbsent(shows: string | undefined): boolean {
  return ["absent", "none", "dead"].includes(shows?.trim().toLowerCase() ?? "");
}
