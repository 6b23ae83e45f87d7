import type { Board } from "../board.js";
import {
  type ConnectionFact,
  type Contradiction,
  entryWords,
  type GrowthChange,
  netsByPin,
  splitPin,
} from "./connection.js";
import { renameNets } from "./rename-nets.js";
import { type RingClass, type RingClasses, ringClasses } from "./ring-classes.js";

/** A board with what was measured on it worked into its nets. */
export interface GrownBoard {
  readonly board: Board;
  /** Name now by name before, of nets that became part of another. */
  readonly renamed: ReadonlyMap<string, string>;
  readonly changes: readonly GrowthChange[];
  readonly contradictions: readonly Contradiction[];
}

/** A node of the grouping: what is left of a net, or a class of pins that ring to each other. */
interface Node {
  /** Name of the net; undefined for a class. */
  readonly net?: string;
  readonly pins: readonly string[];
  readonly entries: readonly number[];
}

/** That a class belongs to a net because the board says so. */
interface Tie {
  readonly ringClass: number;
  readonly net: string;
  /** Pins of the class on the net. */
  readonly pins: readonly string[];
}

/**
 * Works continuity facts into a board. What was measured outweighs what the board says: pins that ring become one line,
 * pins that do not are parted. Of a net whose pins do not ring to each other, most pins stay together: a class of pins
 * leaves if fewer of it hang there than of the class it does not ring to, and of equals the one named later leaves.
 * Pins nobody measured stay where the board has them. Ground and rails are never joined to each other.
 *
 * The same facts always give the same board, and none gives `base` itself: striking a fact out undoes it.
 * Pins that were measured are assumed no longer. Parts that `base` does not have are passed over. O(facts² + pins).
 */
export function growBoard(base: Board, facts: readonly ConnectionFact[]): GrownBoard {
  const refs = new Set(base.parts.map(({ ref }) => ref));
  const known = facts.filter(({ from, to }) => [from, to].every((pin) => refs.has(splitPin(pin)?.ref ?? "")));
  if (known.length === 0) return { board: base, renamed: new Map(), changes: [], contradictions: [] };
  const netOf = netsByPin(base);
  const supplies = new Set([base.ground, ...base.rails.map(({ net }) => net)]);
  const rings = ringClasses(known, (pin) => {
    const net = netOf.get(pin);
    return net !== undefined && supplies.has(net) ? net : undefined;
  });
  const grouping = groupNets(rings, netOf, supplies);
  const { names, renamed } = nameGroups(grouping, netOf, supplies);
  const moved = new Map<string, string | undefined>();
  for (const [pin, ringClass] of rings.classOf) moved.set(pin, names[grouping.groupOf(ringClass)]);
  const parts = base.parts.map((part) => {
    const own = [...moved].filter(([pin]) => splitPin(pin)?.ref === part.ref);
    if (own.length === 0) return part;
    const measured = new Set(own.map(([pin]) => splitPin(pin)?.number));
    const pins: Record<string, string> = { ...part.pins };
    for (const [pin, net] of own) {
      const number = splitPin(pin)?.number ?? "";
      if (net === undefined) delete pins[number];
      else pins[number] = net;
    }
    const { assumedPins, ...known } = part;
    const assumed = assumedPins?.filter((pin) => !measured.has(pin)) ?? [];
    return { ...known, ...(assumed.length === 0 ? {} : { assumedPins: assumed }), pins };
  });
  return {
    board: renameNets({ ...base, parts }, renamed),
    renamed,
    changes: changesOf({ facts: known, rings, grouping, names, renamed, netOf }),
    contradictions: rings.contradictions,
  };
}

interface Grouping {
  readonly nodes: readonly Node[];
  /** Index of a net's node. */
  readonly netNodes: ReadonlyMap<string, number>;
  /** Number of the group of a node. */
  groupOf(node: number): number;
  /** Ties that could not be kept: these pins have left their net. */
  readonly broken: readonly Tie[];
}

/** Groups classes and nets: the strongest ties first, none that would bring together what was found apart. */
function groupNets(
  rings: RingClasses,
  netOf: ReadonlyMap<string, string>,
  supplies: ReadonlySet<string>,
): Grouping {
  const ties = tiesOf(rings.classes, netOf);
  const nets = [...new Set(ties.map(({ net }) => net))];
  const measured = new Set(rings.classOf.keys());
  const rest = new Map(nets.map((net) => [net, [] as string[]]));
  for (const [pin, net] of netOf) if (!measured.has(pin)) rest.get(net)?.push(pin);
  const nodes: Node[] = [
    ...rings.classes.map(({ pins, entries }) => ({ pins, entries })),
    ...nets.map((net) => ({ net, pins: rest.get(net) ?? [], entries: [] })),
  ];
  const netNodes = new Map(nets.map((net, i) => [net, rings.classes.length + i]));
  const parent = nodes.map((_, i) => i);
  const find = (node: number): number => {
    let root = node;
    while (parent[root] !== undefined && parent[root] !== root) root = parent[root] ?? root;
    return root;
  };
  const apart: (readonly [number, number])[] = rings.apart.flatMap(({ from, to }) => {
    const pair = [rings.classOf.get(from), rings.classOf.get(to)] as const;
    return pair[0] === undefined || pair[1] === undefined ? [] : [[pair[0], pair[1]] as const];
  });
  const supplyNodes = nets.filter((net) => supplies.has(net)).flatMap((net) => netNodes.get(net) ?? []);
  for (const [i, one] of supplyNodes.entries())
    for (const other of supplyNodes.slice(i + 1)) apart.push([one, other]);
  const broken: Tie[] = [];
  for (const tie of ties) {
    const [a, b] = [find(tie.ringClass), find(netNodes.get(tie.net) ?? tie.ringClass)];
    const denied = apart.some(([x, y]) => {
      const [one, other] = [find(x), find(y)];
      return (one === a && other === b) || (one === b && other === a);
    });
    if (denied) broken.push(tie);
    else parent[Math.max(a, b)] = Math.min(a, b);
  }
  return { nodes, netNodes, groupOf: find, broken };
}

/** What ties classes to nets, strongest first: by number of pins, then in the order in which the pins were named. */
function tiesOf(classes: readonly RingClass[], netOf: ReadonlyMap<string, string>): Tie[] {
  const ties = classes.flatMap(({ pins }, ringClass) => {
    const byNet = new Map<string, string[]>();
    for (const pin of pins) {
      const net = netOf.get(pin);
      if (net !== undefined) byNet.set(net, [...(byNet.get(net) ?? []), pin]);
    }
    return [...byNet].map(([net, own]): Tie => ({ ringClass, net, pins: own }));
  });
  // The sort is stable, and classes stand in the order in which their first pins were named.
  return ties.sort((a, b) => b.pins.length - a.pins.length);
}

/** A name for each group: that of a supply, else of the net with most pins, else one made from its first pin. */
function nameGroups(
  { nodes, netNodes, groupOf }: Grouping,
  netOf: ReadonlyMap<string, string>,
  supplies: ReadonlySet<string>,
): { readonly names: Readonly<Record<number, string>>; readonly renamed: ReadonlyMap<string, string> } {
  const counts = new Map<string, number>();
  for (const net of netOf.values()) counts.set(net, (counts.get(net) ?? 0) + 1);
  const taken = new Set(counts.keys());
  const names: Record<number, string> = {};
  const ranked = [...netNodes].sort(
    ([a], [b]) =>
      Number(supplies.has(b)) - Number(supplies.has(a)) ||
      (counts.get(b) ?? 0) - (counts.get(a) ?? 0) ||
      (a < b ? -1 : 1),
  );
  const renamed = new Map<string, string>();
  for (const [net, node] of ranked) {
    const group = groupOf(node);
    const name = names[group];
    if (name === undefined) names[group] = net;
    else renamed.set(net, name);
  }
  for (const [i, { net, pins }] of nodes.entries()) {
    const group = groupOf(i);
    const [first] = pins;
    if (net !== undefined || names[group] !== undefined || first === undefined) continue;
    // A pin that nothing is known to hang on stays open, unless it had a net and left it.
    if (pins.length < 2 && !netOf.has(first)) continue;
    let name = `wire-${first}`;
    while (taken.has(name)) name = `${name}'`;
    taken.add(name);
    names[group] = name;
  }
  return { names, renamed };
}

function changesOf(made: {
  readonly facts: readonly ConnectionFact[];
  readonly rings: RingClasses;
  readonly grouping: Grouping;
  readonly names: Readonly<Record<number, string>>;
  readonly renamed: ReadonlyMap<string, string>;
  readonly netOf: ReadonlyMap<string, string>;
}): GrowthChange[] {
  const { facts, rings, grouping, names, renamed, netOf } = made;
  const changes: GrowthChange[] = [];
  const left = new Map(grouping.broken.flatMap((tie) => tie.pins.map((pin) => [pin, tie.net] as const)));
  for (const [was, is] of renamed) {
    const group = grouping.groupOf(grouping.netNodes.get(was) ?? -1);
    const entries = rings.classes.flatMap((one, i) => (grouping.groupOf(i) === group ? one.entries : []));
    changes.push({
      kind: "joined",
      entries,
      says: `${was} and ${is} are one line, called ${is} (${entryWords(entries)}).`,
    });
  }
  for (const [i, { pins, entries }] of rings.classes.entries()) {
    const net = names[grouping.groupOf(i)];
    const added = pins.filter((pin) => !netOf.has(pin));
    if (net !== undefined && added.length > 0)
      changes.push({
        kind: "added",
        entries,
        says: `${added.join(", ")} ${added.length === 1 ? "hangs" : "hang"} on ${net} (${entryWords(entries)}).`,
      });
    for (const tie of grouping.broken.filter((one) => one.ringClass === i)) {
      const opens = rings.apart.filter(({ from, to }) => pins.includes(from) || pins.includes(to));
      const because = [...new Set([...opens.map(({ entry }) => entry), ...entries])].sort((a, b) => a - b);
      changes.push({
        kind: "left",
        entries: because,
        says: `${tie.pins.join(", ")} ${tie.pins.length === 1 ? "is" : "are"} not on ${tie.net} but on ${net ?? "nothing"} (${entryWords(because)}).`,
      });
    }
  }
  const changed = new Set(changes.flatMap(({ entries }) => entries));
  const refused = new Set(rings.contradictions.map(({ entry }) => entry));
  for (const { entry, from, to, shows } of facts) {
    if (changed.has(entry) || refused.has(entry) || left.has(from) || left.has(to)) continue;
    const word = shows === "rings" ? "are one line" : "are two lines";
    changes.push({
      kind: "confirmed",
      entries: [entry],
      says: `${from} and ${to} ${word}, as the board has it (entry ${entry}).`,
    });
  }
  return changes;
}
