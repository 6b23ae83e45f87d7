import type { CaseEntry, Instrument } from "../../core/find/case/case.js";
import type { PreparedBoard } from "../../core/find/prepare.js";
import { faultOfHypothesis } from "../../core/find/reason/space.js";
import type { Wiring } from "../../core/find/settle/circuit.js";
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

/** A level that the part's faults show at most this much as often as the rest speaks for the part. */
const mostFactor = 0.5;
const leastChance = 0.02;
const mostReadings = 5;
const leastBelief = 1e-7;

/** A line to read, and what could be seen there. */
interface Clearing {
  readonly net: number;
  /** Level that speaks for the part. */
  readonly level: number;
  /** Level that the part at fault would most likely show instead. */
  readonly shown: number;
  readonly chance: number;
  readonly factor: number;
}

/**
 * Readings that could clear a part: lines on which its faults, weighted by belief, seldom show what the other
 * possibilities show. For each the level that promises most, the chance that it comes, what the odds of the part are
 * multiplied by then, and what the part at fault would show instead. Instrument errors are left out; faults are taken
 * one at a time. Ordered by chance times what is taken off the odds. O(live rows × nets).
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
  const width = table.netCount * levelCount;
  const own = new Float64Array(width);
  const other = new Float64Array(width);
  const total = addBelief(prepared, solved, part, own, other);
  if (!(total.own > 0) || !(total.other > 0)) return [];
  const found: Clearing[] = [];
  for (let net = 0; net < table.netCount; net += 1) {
    const duty = circuit.wiring.netDuty[net];
    if (duty === 2 || read.has(net)) continue;
    const from = net * levelCount;
    const best = bestOnNet(
      net,
      own.subarray(from, from + levelCount),
      other.subarray(from, from + levelCount),
      total,
      duty === 1 ? railWords : signalWords,
    );
    if (best !== undefined) found.push(best);
  }
  found.sort((a, b) => promiseOf(b) - promiseOf(a) || a.net - b.net);
  return found.slice(0, mostReadings).map((one) => clearsOf(one, circuit.wiring, instruments, finder));
}

function promiseOf({ chance, factor }: Clearing): number {
  return chance * (1 - factor);
}

function bestOnNet(
  net: number,
  own: Float64Array,
  other: Float64Array,
  total: { readonly own: number; readonly other: number },
  words: ReadonlyMap<number, string>,
): Clearing | undefined {
  let best: Clearing | undefined;
  for (const level of words.keys()) {
    const ownShare = (own[level] as number) / total.own;
    const otherShare = (other[level] as number) / total.other;
    const chance = ((own[level] as number) + (other[level] as number)) / (total.own + total.other);
    if (chance < leastChance || ownShare > mostFactor * otherShare) continue;
    const one = { net, level, shown: likeliestBut(level, own), chance, factor: ownShare / otherShare };
    if (best === undefined || promiseOf(one) > promiseOf(best)) best = one;
  }
  return best;
}

/** The level with the largest share, this one set aside. */
function likeliestBut(level: number, shares: Float64Array): number {
  let best = level === 0 ? 1 : 0;
  for (let i = 0; i < levelCount; i += 1)
    if (i !== level && (shares[i] as number) > (shares[best] as number)) best = i;
  return best;
}

function clearsOf(
  { net, level, shown, chance, factor }: Clearing,
  wiring: Wiring,
  instruments: readonly Instrument[],
  finder: PlaceFinder,
): WhyPage["clears"][number] {
  const place = finder.ofNet(net) ?? null;
  const name = wiring.nets[net] ?? "";
  const isRail = wiring.netDuty[net] === 1;
  const at = isRail ? `rail:${name}` : (place?.label ?? `net:${name}`);
  const word = (isRail ? railWords : signalWords).get(level) ?? levelName(level);
  return {
    place,
    at,
    wouldShow: levelName(shown),
    clearedBy: levelName(level),
    chance: Math.min(1, chance),
    factor,
    entry: entryFor(at, word, isRail, instruments),
  };
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
