import type { PreparedBoard } from "../prepare.js";
import type { Beliefs } from "../reason/beliefs.js";
import type { PairResult } from "../reason/pairs.js";
import { type FaultSpace, faultOfHypothesis } from "../reason/space.js";
import type { FindResult, SuspectGroup } from "./result.js";

const listed = 40;

/** Faults that nothing outside can tell apart: same effect class, same signs with the power off, same timing. */
export function suspectGroups(prepared: PreparedBoard, space: FaultSpace, beliefs: Beliefs): SuspectGroup[] {
  const groups = new Map<string, { hypotheses: number[]; probability: number }>();
  for (let h = 0; h < space.odds.length; h += 1) {
    const now = beliefs.faultNow[h] as number;
    if (now < 1e-6) continue;
    const key = groupKey(prepared, space, h);
    if (key === undefined) continue;
    const known = groups.get(key) ?? { hypotheses: [], probability: 0 };
    known.hypotheses.push(h);
    known.probability += now;
    groups.set(key, known);
  }
  return [...groups.values()]
    .sort((a, b) => b.probability - a.probability || (a.hypotheses[0] ?? 0) - (b.hypotheses[0] ?? 0))
    .slice(0, listed)
    .map(({ hypotheses, probability }) => {
      const members = hypotheses
        .flatMap((h) => {
          const fault = faultOfHypothesis(space, h);
          if (fault === undefined) return [];
          const { mode, site, detail } = fault;
          return [
            {
              part: refOf(space, fault.part),
              mode,
              site,
              detail,
              probability: beliefs.faultNow[h] as number,
            },
          ];
        })
        .sort((a, b) => b.probability - a.probability);
      return { probability, members, parts: [...new Set(members.map((member) => member.part))] };
    });
}

/** Equal for hypotheses that no reading from outside can tell apart; undefined for health and not-in-model. */
export function groupKey(prepared: PreparedBoard, space: FaultSpace, hypothesis: number): string | undefined {
  const fault = faultOfHypothesis(space, hypothesis);
  if (fault === undefined) return undefined;
  const { shortedNet, bridged, current, cutPin, deviceReads, hot } = fault.signs;
  const own = hot === true || deviceReads !== undefined ? fault.part : "";
  const effectClass = prepared.effectClass[fault.effect];
  return [
    effectClass,
    fault.manifestation,
    shortedNet,
    bridged?.join("+"),
    current,
    cutPin,
    deviceReads,
    own,
  ].join("|");
}

/** The likeliest pairs, for the report. */
export function leadingPairs(
  space: FaultSpace,
  pairs: PairResult,
  beliefs: Beliefs,
): FindResult["pairs"]["leading"] {
  const order = Array.from(beliefs.pair.keys()).sort(
    (a, b) => (beliefs.pair[b] as number) - (beliefs.pair[a] as number),
  );
  return order.slice(0, 5).flatMap((i) => {
    const pair = pairs.pairs[i];
    const a = pair === undefined ? undefined : faultOfHypothesis(space, pair.first);
    const b = pair === undefined ? undefined : faultOfHypothesis(space, pair.second);
    const probability = beliefs.pair[i] as number;
    if (a === undefined || b === undefined || probability < 0.005) return [];
    return [
      {
        parts: [refOf(space, a.part), refOf(space, b.part)] as const,
        faults: [a.id, b.id] as const,
        probability,
      },
    ];
  });
}

function refOf(space: FaultSpace, part: number): string {
  return space.circuit.wiring.parts[part]?.part.ref ?? "?";
}
