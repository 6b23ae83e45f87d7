import { type ConnectionFact, type Contradiction, entryWords } from "./connection.js";

/** Pins that ring to each other, by what was measured alone. */
export interface RingClass {
  /** In the order in which they were first named. */
  readonly pins: readonly string[];
  /** Entries that tie them together. */
  readonly entries: readonly number[];
}

/** The facts that hold together. */
export interface RingClasses {
  readonly classes: readonly RingClass[];
  /** Index into `classes` by pin. */
  readonly classOf: ReadonlyMap<string, number>;
  /** Facts that say two classes are apart. */
  readonly apart: readonly ConnectionFact[];
  readonly contradictions: readonly Contradiction[];
}

/**
 * Takes facts in their order, each if it agrees with those before it. A fact that does not is left out and listed with
 * those it contradicts. `supplyOf` gives the supply net of a pin, if it hangs on one: pins of two supplies never belong
 * together, so a ring between them is a short to be looked for and no wiring. O(facts²).
 */
export function ringClasses(
  facts: readonly ConnectionFact[],
  supplyOf: (pin: string) => string | undefined,
): RingClasses {
  const rings: ConnectionFact[] = [];
  const apart: ConnectionFact[] = [];
  const contradictions: Contradiction[] = [];
  for (const fact of facts) {
    const { from, to } = fact;
    if (fact.shows === "open") {
      const way = wayBetween(rings, from, to);
      if (way === undefined) apart.push(fact);
      else contradictions.push(contradiction(fact, way, `${from} and ${to} were found to be one line`));
      continue;
    }
    const one = reach(rings, from);
    const other = reach(rings, to);
    const denied = apart.find(
      (open) => (one.has(open.from) && other.has(open.to)) || (one.has(open.to) && other.has(open.from)),
    );
    if (denied !== undefined) {
      const [near, far] = one.has(denied.from) ? [denied.from, denied.to] : [denied.to, denied.from];
      const way = [...(wayBetween(rings, from, near) ?? []), ...(wayBetween(rings, to, far) ?? [])];
      contradictions.push(
        contradiction(fact, [...way, denied.entry], `${near} was found not to ring to ${far}`),
      );
      continue;
    }
    const supplies = [...new Set([...one, ...other].flatMap((pin) => supplyOf(pin) ?? []))].sort();
    if (supplies.length > 1) {
      const way = [...one, ...other].flatMap((pin) =>
        supplyOf(pin) === undefined ? [] : (wayBetween(rings, one.has(pin) ? from : to, pin) ?? []),
      );
      contradictions.push({
        entry: fact.entry,
        against: sorted(way),
        says: `${from} to ${to} would tie ${supplies.join(" to ")}: that is a short, and no wiring. Enter it as a reading: ${from}-${to} rings.`,
      });
      continue;
    }
    rings.push(fact);
  }
  return { ...collect(rings, apart), apart, contradictions };
}

function contradiction(fact: ConnectionFact, against: readonly number[], because: string): Contradiction {
  const entries = sorted(against);
  const word = fact.shows === "rings" ? "rings" : "does not ring";
  return {
    entry: fact.entry,
    against: entries,
    says: `${fact.from} to ${fact.to} ${word}, but by ${entryWords(entries)} ${because}.`,
  };
}

function sorted(entries: readonly number[]): number[] {
  return [...new Set(entries)].sort((a, b) => a - b);
}

/** Pins that ring to a pin, itself first. */
function reach(rings: readonly ConnectionFact[], start: string): Set<string> {
  const seen = new Set([start]);
  for (const pin of seen)
    for (const { from, to } of rings) {
      if (from === pin) seen.add(to);
      else if (to === pin) seen.add(from);
    }
  return seen;
}

/** Entries of a shortest chain of rings from one pin to another; undefined if there is none. */
function wayBetween(rings: readonly ConnectionFact[], start: string, end: string): number[] | undefined {
  const ways = new Map<string, readonly number[]>([[start, []]]);
  for (const [pin, way] of ways) {
    if (pin === end) return [...way];
    for (const { from, to, entry } of rings) {
      const next = from === pin ? to : to === pin ? from : undefined;
      if (next !== undefined && !ways.has(next)) ways.set(next, [...way, entry]);
    }
  }
  return undefined;
}

function collect(
  rings: readonly ConnectionFact[],
  apart: readonly ConnectionFact[],
): Pick<RingClasses, "classes" | "classOf"> {
  const named = [...rings, ...apart].sort((a, b) => a.entry - b.entry).flatMap(({ from, to }) => [from, to]);
  const order = new Map([...new Set(named)].map((pin, i) => [pin, i]));
  const classes: RingClass[] = [];
  const classOf = new Map<string, number>();
  for (const pin of order.keys()) {
    if (classOf.has(pin)) continue;
    const pins = [...reach(rings, pin)].sort((a, b) => (order.get(a) ?? 0) - (order.get(b) ?? 0));
    const own = new Set(pins);
    for (const one of pins) classOf.set(one, classes.length);
    const entries = rings.filter(({ from }) => own.has(from)).map(({ entry }) => entry);
    classes.push({ pins, entries: sorted(entries) });
  }
  return { classes, classOf };
}
