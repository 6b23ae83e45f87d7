import type { Case } from "../case/case.js";
import { standingEntries } from "../case/case.js";
import { isMisplaced, placeNamed } from "../evidence/place-name.js";
import type { Timeline } from "../evidence/timeline.js";
import type { PreparedBoard } from "../prepare.js";

/** What the user should know besides the ranking. */
export function caseWarnings(prepared: PreparedBoard, timeline: Timeline, logged: Case): string[] {
  const warnings: string[] = [];
  if (timeline.gateImplied) {
    warnings.push(
      "The log holds powered readings, so the supply gate counts as passed; check the supply if that was not done.",
    );
  }
  const unexplained = prepared.circuit.unexplained.length;
  if (unexplained > 0) {
    warnings.push(
      `The healthy board leaves ${unexplained} net values unexplained; 'boardwake board check' lists them.`,
    );
  }
  return [...warnings, ...missingNegativeRail(prepared, logged)];
}

/**
 * Three-rail memory that runs without its negative rail while the positive ones are on is damaged as a rule
 * (common practice, no source).
 */
function missingNegativeRail(prepared: PreparedBoard, logged: Case): string[] {
  const { board, circuit } = prepared;
  const missing = new Set<string>();
  for (const { entry } of standingEntries(logged.entries)) {
    if (entry.kind !== "reading" || entry.volts === undefined) continue;
    const place = placeNamed(circuit, entry.at);
    if (isMisplaced(place) || (place.kind !== "net" && place.kind !== "pin")) continue;
    const rail = board.rails.find((one) => one.net === circuit.wiring.nets[place.net]);
    if (rail !== undefined && rail.nominalVolt < 0 && entry.volts > rail.nominalVolt / 2)
      missing.add(rail.net);
  }
  const types = new Set<string>();
  for (const part of circuit.wiring.parts) {
    const fed = part.pins.some((pin) =>
      missing.has(circuit.wiring.nets[circuit.wiring.pins[pin]?.net ?? -1] ?? ""),
    );
    if (part.type.family === "dram" && fed) types.add(part.type.type);
  }
  return [...types].map(
    (type) =>
      `${type} memory that ran without its negative rail while the others were on may be damaged: test all of it once the rail is back.`,
  );
}
