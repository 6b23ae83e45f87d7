import type { CaseEntry, Instrument } from "../../core/find/case/case.js";
import type { PreparedBoard } from "../../core/find/prepare.js";
import { faultOfHypothesis } from "../../core/find/reason/space.js";
import { Level, levelCount, levelMask, levelName } from "../../core/find/settle/value.js";
import type { SolvedCase } from "../../core/find/solve.js";
import type { WhyPage } from "../api/why-page.js";
import type { PlaceFinder } from "./places.js";

/** Levels that a reading can claim, with the word of the log. */
const signalWords: ReadonlyMap<number, string> = new Map([
  [Level.low, "low"],
  [Level.high, "high"],
  [Level.pulsing, "pulsing"],
  [Level.floating, "floating"],
]);
const railWords: ReadonlyMap<number, string> = new Map([
  [Level.railAbsent, "absent"],
  [Level.railLow, "too-low"],
  [Level.railGood, "good"],
  [Level.railHigh, "too-high"],
]);

/** A level that the part's faults show no more often than this speaks for the part. */
const rareShare = 0.05;
const leastChance = 0.02;
const mostReadings = 5;
const leastBelief = 1e-7;

/**
 * Readings that could clear a part: lines on which its faults, weighted by belief, would hardly ever show what the
 * other possibilities show. For each the value most likely to come, the chance that it does, and what the part at fault
 * would show instead. Instrument errors are left out; faults are taken one at a time. O(live rows × nets).
 */
export function clearingReadings(
  prepared: PreparedBoard,
  solved: SolvedCase,
  part: number,
  read: ReadonlySet<number>,
  instruments: readonly Instrument[],
  finder: PlaceFinder,
): WhyPage["clears"] {
  const { table, circuit } = prepared;
  const { wiring } = circuit;
  const width = table.netCount * levelCount;
  const own = new Float64Array(width);
  const other = new Float64Array(width);
  const total = addBelief(prepared, solved, part, own, other);
  if (!(total.own > 0)) return [];
  const found: { net: number; clearing: number; shown: number; chance: number }[] = [];
  for (let net = 0; net < table.netCount; net += 1) {
    const duty = wiring.netDuty[net];
    if (duty === 2 || read.has(net)) continue;
    let clearing = -1;
    let shown = 0;
    for (let level = 0; level < levelCount; level += 1) {
      const at = net * levelCount + level;
      if ((own[at] as number) > (own[net * levelCount + shown] as number)) shown = level;
      const isRare = (own[at] as number) <= rareShare * total.own;
      const isWorded = (duty === 1 ? railWords : signalWords).has(level);
      const best = clearing < 0 ? 0 : (other[net * levelCount + clearing] as number);
      if (isRare && isWorded && (other[at] as number) > best) clearing = level;
    }
    const at = net * levelCount + clearing;
    const chance =
      clearing < 0 ? 0 : ((own[at] as number) + (other[at] as number)) / (total.own + total.other);
    if (chance >= leastChance) found.push({ net, clearing, shown, chance });
  }
  found.sort((a, b) => b.chance - a.chance || a.net - b.net);
  return found.slice(0, mostReadings).map(({ net, clearing, shown, chance }) => {
    const place = finder.ofNet(net) ?? null;
    const name = wiring.nets[net] ?? "";
    const isRail = wiring.netDuty[net] === 1;
    const at = isRail ? `rail:${name}` : (place?.label ?? `net:${name}`);
    const word = (isRail ? railWords : signalWords).get(clearing) ?? levelName(clearing);
    return {
      place,
      at,
      wouldShow: levelName(shown),
      clearedBy: levelName(clearing),
      chance: Math.min(1, chance),
      entry: entryFor(at, word, isRail, instruments),
    };
  });
}

/** Adds each believed hypothesis' levels on every net to the part's own share or to the rest. */
function addBelief(
  { table }: PreparedBoard,
  { space, beliefs }: SolvedCase,
  part: number,
  own: Float64Array,
  other: Float64Array,
): { readonly own: number; readonly other: number } {
  const total = { own: 0, other: 0 };
  for (let h = 0; h < space.odds.length; h += 1) {
    const fault = faultOfHypothesis(space, h);
    const belief = fault === undefined ? 0 : (beliefs.faultNow[h] as number);
    if (fault === undefined || belief < leastBelief) continue;
    const isOwn = fault.part === part;
    const sums = isOwn ? own : other;
    if (isOwn) total.own += belief;
    else total.other += belief;
    const from = table.firstRow[fault.effect] ?? 0;
    const to = table.firstRow[fault.effect + 1] ?? from;
    for (let row = from; row < to; row += 1) {
      const weight = belief * (table.weight[row] as number);
      const base = row * table.netCount;
      for (let net = 0; net < table.netCount; net += 1) {
        const at = net * levelCount + ((table.nets[base + net] as number) & levelMask);
        sums[at] = (sums[at] as number) + weight;
      }
    }
  }
  return total;
}

function entryFor(
  at: string,
  shows: string,
  isRail: boolean,
  instruments: readonly Instrument[],
): CaseEntry | null {
  if (isRail) return { kind: "reading", at, with: "multimeter", shows };
  const tool = instruments.find((name) => name === "logic-probe" || name === "oscilloscope");
  return tool === undefined ? null : { kind: "reading", at, with: tool, shows };
}
