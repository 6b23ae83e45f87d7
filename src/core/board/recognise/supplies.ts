import type { Board } from "../board.js";
import { anyGlobMatches } from "./glob.js";
import type { Guess } from "./guess.js";
import type { RecognitionData } from "./recognition-data.js";
import { readVolt } from "./values.js";

/** A supply pin of a part, by what its type or its symbol says. */
export interface SupplyPin {
  readonly net: string;
  readonly kind: "power" | "ground";
  /** What the type is made for; absent if only the symbol says that the pin takes supply. */
  readonly nominalVolt?: number;
  /** True for the input of a regulator or rectifier. */
  readonly feedsRegulator: boolean;
}

/** What supplies are found from. */
export interface SupplyFacts {
  /** Names of all nets, in the order of the netlist. */
  readonly nets: readonly string[];
  readonly pins: readonly SupplyPin[];
  /** Pairs of nets that a closed jumper joins. */
  readonly joined: readonly (readonly [string, string])[];
}

/** Supply nets of a circuit. */
export interface Supplies {
  /** Absent if nothing looks like ground. */
  readonly ground?: string;
  /** Further nets with a ground's name, to be taken as the same net. */
  readonly alsoGround: readonly string[];
  readonly rails: Board["rails"];
  readonly guesses: readonly Guess[];
}

// What most logic supplies of the time are specified for.
const tolerancePercent = 5;

/**
 * Finds ground and rails by the names of nets, and by the duty of pins where names fail: ground is the net of most
 * ground pins, a rail is any net that has supply pins on it. Voltages come from the name if it states one, else from
 * what most of the chips on the net are made for, else from common use of the name.
 */
export function findSupplies({ nets, pins, joined }: SupplyFacts, data: RecognitionData["nets"]): Supplies {
  const guesses: Guess[] = [];
  const groundPins = countByNet(pins.filter((pin) => pin.kind === "ground"));
  const named = nets.filter((net) => anyGlobMatches(data.ground, lastPart(net)));
  const ground = mostPins(named.length > 0 ? named : nets, groundPins, named.length > 0);
  if (ground !== undefined) {
    const count = groundPins.get(ground) ?? 0;
    const reason = named.includes(ground)
      ? `its name, and ${count} ground pins`
      : `it carries ${count} ground pins, the most of all nets`;
    guesses.push({
      subject: ground,
      taken: "ground",
      reason,
      certainty: named.includes(ground) ? "sure" : "likely",
    });
  }
  const alsoGround = named.filter((net) => net !== ground);
  for (const net of alsoGround) {
    guesses.push({
      subject: net,
      taken: `part of ${ground ?? "ground"}`,
      reason: "its name is that of a ground",
      certainty: "likely",
    });
  }
  for (const [first, second] of joined) {
    const other = first === ground ? second : second === ground ? first : undefined;
    if (other === undefined || alsoGround.includes(other) || !groundPins.has(other)) continue;
    alsoGround.push(other);
    guesses.push({
      subject: other,
      taken: `part of ${ground}`,
      reason: "a closed jumper joins them, and it carries ground pins",
      certainty: "likely",
    });
  }
  const noRail = new Set([...alsoGround, ...(ground === undefined ? [] : [ground])]);
  const powerPins = new Map<string, SupplyPin[]>();
  for (const pin of pins) {
    if (pin.kind !== "power" || noRail.has(pin.net)) continue;
    const list = powerPins.get(pin.net);
    if (list === undefined) powerPins.set(pin.net, [pin]);
    else list.push(pin);
  }
  const rails: Board["rails"] = [];
  for (const net of nets) {
    if (noRail.has(net)) continue;
    const rail = railOf(net, powerPins.get(net) ?? [], data, guesses);
    if (rail !== undefined) rails.push(rail);
  }
  return { ...(ground === undefined ? {} : { ground }), alsoGround, rails, guesses };
}

function railOf(
  net: string,
  pins: readonly SupplyPin[],
  data: RecognitionData["nets"],
  guesses: Guess[],
): Board["rails"][number] | undefined {
  const name = lastPart(net);
  const entry = data.rails.find((rail) => anyGlobMatches(rail.names, name));
  const stated = readVolt(name);
  if (entry === undefined && stated === undefined && pins.length === 0) return undefined;
  const voted = mostCommon(pins.flatMap((pin) => (pin.nominalVolt === undefined ? [] : [pin.nominalVolt])));
  const certain = entry?.certain === true ? entry.nominalVolt : stated;
  const nominalVolt = certain ?? voted ?? entry?.nominalVolt ?? 5;
  const reason =
    certain !== undefined
      ? "its name states the voltage"
      : voted !== undefined
        ? `most of its ${pins.length} supply pins are made for ${voted} V`
        : entry !== undefined
          ? "common use of its name"
          : "a symbol calls one of its pins a supply pin";
  const certainty = certain !== undefined ? "sure" : voted !== undefined ? "likely" : "unsure";
  guesses.push({ subject: net, taken: `rail of ${nominalVolt} V`, reason, certainty });
  const raw = entry?.raw === true || (pins.length > 0 && pins.every((pin) => pin.feedsRegulator));
  return { net, nominalVolt, tolerancePercent: raw ? 30 : tolerancePercent, ...(raw ? { raw: true } : {}) };
}

/** Name without the path of its sheet: `+5V` of `supply/+5V`; a leading slash belongs to the name. */
function lastPart(net: string): string {
  const at = net.lastIndexOf("/");
  return at > 0 ? net.slice(at + 1) : net;
}

function countByNet(pins: readonly SupplyPin[]): Map<string, number> {
  const counts = new Map<string, number>();
  for (const pin of pins) counts.set(pin.net, (counts.get(pin.net) ?? 0) + 1);
  return counts;
}

function mostPins(
  nets: readonly string[],
  counts: ReadonlyMap<string, number>,
  zeroWillDo: boolean,
): string | undefined {
  let best: string | undefined;
  let bestCount = zeroWillDo ? -1 : 0;
  for (const net of nets) {
    const count = counts.get(net) ?? 0;
    if (count > bestCount) {
      best = net;
      bestCount = count;
    }
  }
  return best;
}

function mostCommon(values: readonly number[]): number | undefined {
  const counts = new Map<number, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  let best: number | undefined;
  for (const [value, count] of counts)
    if (best === undefined || count > (counts.get(best) ?? 0)) best = value;
  return best;
}
