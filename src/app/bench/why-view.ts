import type { Case } from "../../core/find/case/case.js";
import { standingEntries } from "../../core/find/case/case.js";
import { isMisplaced, placeNamed } from "../../core/find/evidence/place-name.js";
import type { PreparedBoard } from "../../core/find/prepare.js";
import { Explainer } from "../../core/find/result/explain.js";
import type { Suspect, SuspectPrior } from "../../core/find/result/result.js";
import type { SolvedCase } from "../../core/find/solve.js";
import type { WhyPage } from "../api/why-page.js";
import { describeEntry } from "../describe-entry.js";
import type { ListedSymptom } from "../list-symptoms.js";
import { clearingReadings } from "./clearing.js";
import type { PartOrder } from "./part-view.js";
import type { PlaceFinder } from "./places.js";

/** Why a part is suspected: `suspect` is what the findings say of it, undefined if it is as good as cleared. */
export function whyView(
  prepared: PreparedBoard,
  solved: SolvedCase,
  order: PartOrder,
  suspect: Suspect | undefined,
  finder: PlaceFinder,
  symptoms: readonly ListedSymptom[],
): WhyPage {
  const { wiring } = prepared.circuit;
  const part = wiring.parts[wiring.partIndex.get(order.ref) ?? -1];
  if (part === undefined) throw new RangeError(`there is no part ${order.ref}`);
  const evidence =
    suspect === undefined || suspect.evidence.length > 0
      ? (suspect?.evidence ?? [])
      : new Explainer(solved, prepared.pairSettler).evidenceFor(part.index);
  const known = nowRead(prepared, order.case);
  return {
    job: order.job,
    revision: order.revision,
    ref: part.part.ref,
    type: part.type.type,
    title: part.type.title,
    probability: Math.min(1, suspect?.probability ?? 0),
    cleared: suspect === undefined,
    suspect: suspect ?? null,
    evidence: evidence.map(({ entry, label, bits, says }) => {
      const logged = order.case.entries[entry - 1];
      return { entry, text: logged === undefined ? label : describeEntry(logged, symptoms), bits, says };
    }),
    prior: suspect?.prior == null ? [] : priorLines(suspect.prior),
    clears: clearingReadings(prepared, solved, part.index, known, order.case.instruments, finder),
  };
}

function priorLines(prior: SuspectPrior): WhyPage["prior"] {
  const trade = "common practice, no source";
  return [
    {
      id: "handbook",
      title: "Failure rate of its kind, per million hours",
      value: prior.handbookPerMillionHours,
      source: `MIL-HDBK-217F Notice 2, ${prior.handbookSection}`,
    },
    { id: "trade", title: "What the trade knows of its type", value: prior.trade, source: trade },
    { id: "age", title: "Age", value: prior.age, source: trade },
    {
      id: "field",
      title: "Counted repair histories, as weak evidence",
      value: prior.field,
      source: "data/failure/field-factors.json",
    },
    { id: "events", title: "What happened to the machine", value: prior.events, source: trade },
    {
      id: "ownJobs",
      title: "The bench's own jobs, or set for this one",
      value: prior.ownJobs,
      source: "this bench",
    },
  ];
}

/** Nets that standing readings have looked at. */
function nowRead({ circuit }: PreparedBoard, { entries }: Case): Set<number> {
  const nets = new Set<number>();
  for (const { entry } of standingEntries(entries)) {
    if (entry.kind !== "reading") continue;
    const place = placeNamed(circuit, entry.at);
    if (!isMisplaced(place) && (place.kind === "net" || place.kind === "pin")) nets.add(place.net);
  }
  return nets;
}
