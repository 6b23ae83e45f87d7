import { type Assembly, suppliesOf } from "./assembly.js";
import type { CircuitPart, Pull, Wiring } from "./circuit.js";
import { crystalElement, seriesElement, steadySourceElement, supplyElement } from "./elements-passive.js";
import { Level } from "./value.js";

/** Two nets a passive part joins; `oneWay` parts pass only from the first to the second. */
export interface Link {
  readonly part: number;
  readonly from: number;
  readonly to: number;
  readonly oneWay: boolean;
  readonly blocksSteady: boolean;
  readonly kind: "resistor" | "capacitor" | "contact" | "diode" | "crystal";
}

/** The nets each passive part joins, from its behaviour and the order of its pins. */
export function linksOfPart(wiring: Wiring, part: CircuitPart): Link[] {
  const behaviour = part.type.behaviour;
  if (behaviour.kind !== "plain") return [];
  const nets = part.pins.map((pin) => wiring.pins[pin]?.net ?? -1);
  const link = (a: number, b: number, kind: Link["kind"], extra: Partial<Link> = {}): Link[] => {
    const from = nets[a] ?? -1;
    const to = nets[b] ?? -1;
    if (from < 0 || to < 0 || from === to) return [];
    return [{ part: part.index, from, to, kind, oneWay: false, blocksSteady: false, ...extra }];
  };
  switch (behaviour.as) {
    case "resistor":
      return nets.length === 3
        ? [...link(0, 1, "resistor"), ...link(1, 2, "resistor")]
        : link(0, 1, "resistor");
    case "resistor-network":
      if (part.part.type.endsWith("isolated")) {
        return nets.flatMap((_, i) => (i % 2 === 0 ? link(i, i + 1, "resistor") : []));
      }
      return nets.flatMap((_, i) => (i === 0 ? [] : link(0, i, "resistor")));
    case "capacitor":
      return link(0, 1, "capacitor", { blocksSteady: true });
    case "coil":
    case "fuse":
    case "switch":
    case "jumper":
      return part.part.type === "push-button" ? [] : link(0, 1, "contact");
    case "diode":
      // Pin 1 is the cathode, pin 2 the anode: current, and with it the signal, passes from anode to cathode.
      return link(1, 0, "diode", { oneWay: true });
    case "crystal":
      return link(0, 1, "crystal");
    default:
      return [];
  }
}

/** Resistors and closed contacts (links, switches, jumpers) between a supply net and a signal net. */
export function pullsOfLinks(wiring: Wiring, links: readonly Link[]): Pull[] {
  const duty = wiring.netDuty;
  return links.flatMap((link): Pull[] => {
    if (link.kind !== "resistor" && link.kind !== "contact") return [];
    const fromSupply = duty[link.from] !== 0;
    const toSupply = duty[link.to] !== 0;
    if (fromSupply === toSupply) return [];
    return [
      { net: fromSupply ? link.to : link.from, rail: fromSupply ? link.from : link.to, part: link.part },
    ];
  });
}

/** Adds drivers for everything passive: crystals, series parts, partners beyond connectors, supply paths. */
export function addPassives(assembly: Assembly, links: readonly Link[], pulls: readonly Pull[]): void {
  const { wiring } = assembly;
  const driven = new Set(assembly.drivers.map((driver) => driver.net));
  const pulled = new Set(pulls.map((pull) => pull.net));
  const signalLinks = links.filter(
    (link) => wiring.netDuty[link.from] === 0 && wiring.netDuty[link.to] === 0,
  );
  const crystals = signalLinks.filter((link) => link.kind === "crystal");
  const swinging = new Set(crystals.flatMap((link) => [link.from, link.to]));

  const addDriver = (part: number, net: number): number => {
    assembly.drivers.push({ net, pin: pinOnNet(assembly, part, net), part });
    driven.add(net);
    return assembly.drivers.length - 1;
  };
  const addSeries = (link: Link, source: number, target: number): void => {
    addSeriesDriver(assembly, link, source, target);
    driven.add(target);
  };
  const addCrystals = (): boolean => {
    let added = false;
    for (const crystal of crystals) {
      for (const [near, far] of [
        [crystal.from, crystal.to],
        [crystal.to, crystal.from],
      ] as const) {
        if (!driven.has(near) || driven.has(far)) continue;
        const driver = addDriver(crystal.part, far);
        assembly.elements.push(crystalElement({ part: crystal.part, near, driver }));
        added = true;
      }
    }
    return added;
  };
  const spread = (): void => {
    for (let again = true; again; ) {
      again = addCrystals();
      for (const link of signalLinks) {
        // Resistors and capacitors at a crystal only bias it; they do not carry the swing.
        if (
          link.kind === "crystal" ||
          (link.kind !== "contact" && (swinging.has(link.from) || swinging.has(link.to)))
        )
          continue;
        if (driven.has(link.from) && !driven.has(link.to)) addSeries(link, link.from, link.to);
        else if (!link.oneWay && driven.has(link.to) && !driven.has(link.from))
          addSeries(link, link.to, link.from);
        else continue;
        again = true;
      }
    }
  };
  spread();
  for (const crystal of crystals) {
    if (driven.has(crystal.from) || driven.has(crystal.to)) continue;
    feedCrystal(crystal);
    if (!driven.has(crystal.from) && !driven.has(crystal.to)) swingAtChip(crystal);
  }
  spread();
  for (const part of wiring.parts) {
    const behaviour = part.type.behaviour;
    if (behaviour.kind !== "plain" || behaviour.as !== "connector") continue;
    for (const pin of part.pins) {
      const net = wiring.pins[pin]?.net ?? -1;
      if (net < 0 || wiring.netDuty[net] !== 0 || driven.has(net)) continue;
      if (pulled.has(net) && (wiring.givenLevel[net * wiring.phaseCount] as number) < 0) continue;
      assembly.drivers.push({ net, pin, part: part.index });
      driven.add(net);
      const driver = assembly.drivers.length - 1;
      assembly.elements.push(steadySourceElement({ part: -1, supplies: [], driver, usual: Level.pulsing }));
    }
  }
  spread();
  spreadPulls();
  addMixers(assembly, signalLinks, swinging);
  addSupplies(assembly, links);

  /**
   * A net that nothing but a resistor from a pulled net reaches, such as the wiper of a trimmer between two pulled
   * ends, takes that net's level. Between unlike ends it counts as high: what listens to a divider wants to see supply.
   */
  function spreadPulls(): void {
    const pulledHigh = new Set(pulls.filter((p) => wiring.netDuty[p.rail] === 1).map((p) => p.net));
    for (const sources of [pulledHigh, pulled]) {
      for (const link of signalLinks) {
        if (link.kind !== "resistor") continue;
        for (const [source, target] of [
          [link.from, link.to],
          [link.to, link.from],
        ] as const) {
          const open = !driven.has(target) && !pulled.has(target) && !swinging.has(target);
          if (open && sources.has(source) && !driven.has(source)) addSeries(link, source, target);
        }
      }
    }
  }

  /** A crystal at a chip with an oscillator of its own swings as long as that chip is supplied. */
  function swingAtChip(crystal: Link): void {
    const chip = chipAcross(wiring, crystal);
    if (chip === undefined) return;
    for (const net of [crystal.from, crystal.to]) {
      const driver = addDriver(crystal.part, net);
      const supplies = suppliesOf(wiring, chip);
      assembly.elements.push(
        steadySourceElement({ part: crystal.part, supplies, driver, usual: Level.pulsing }),
      );
    }
  }

  /** A crystal whose two sides are only reached through resistors: the side that no chip listens to is the driven one. */
  function feedCrystal(crystal: Link): void {
    for (const side of [crystal.from, crystal.to]) {
      const heard = (wiring.netPins[side] ?? []).some((pin) => wiring.pins[pin]?.kind === "in");
      if (heard) continue;
      for (const link of signalLinks) {
        const source = link.from === side ? link.to : link.to === side ? link.from : -1;
        if (source >= 0 && driven.has(source) && link.kind !== "crystal") {
          addSeries({ ...link, blocksSteady: false }, source, side);
          return;
        }
      }
    }
  }
}

/** The part other than a passive one that has pins on both sides of a crystal: it holds the oscillator. */
function chipAcross(wiring: Wiring, { from, to }: Link): CircuitPart | undefined {
  const partsOn = (net: number): number[] =>
    (wiring.netPins[net] ?? []).map((pin) => wiring.pins[pin]?.part ?? -1);
  const far = new Set(partsOn(to));
  return partsOn(from)
    .filter((part) => far.has(part))
    .map((part) => wiring.parts[part])
    .find((part) => part !== undefined && part.type.behaviour.kind !== "plain");
}

function addSeriesDriver(assembly: Assembly, link: Link, source: number, target: number): void {
  const { part, blocksSteady } = link;
  assembly.drivers.push({ net: target, pin: pinOnNet(assembly, part, target), part, from: source });
  const driver = assembly.drivers.length - 1;
  assembly.elements.push(seriesElement({ part, source, driver, blocksSteady, mixes: false }));
}

/**
 * Resistors from several sources to a net that nothing else drives mix them there: a picture and its synchronising
 * pulses, the steps of a converter. A resistor that brings back what depends on the net is feedback and does not mix.
 */
function addMixers(assembly: Assembly, links: readonly Link[], swinging: ReadonlySet<number>): void {
  const { drivers, elements } = assembly;
  const resistors = new Set(links.filter((link) => link.kind === "resistor").map((link) => link.part));
  for (const link of links) {
    if (link.kind !== "resistor" || drivers.some((driver) => driver.part === link.part)) continue;
    for (const [source, target] of [
      [link.from, link.to],
      [link.to, link.from],
    ] as const) {
      const own = drivers.filter((driver) => driver.net === target);
      const passive =
        own.length > 0 && own.every(({ from, part }) => from !== undefined && resistors.has(part));
      if (!passive || swinging.has(target) || !drivers.some((driver) => driver.net === source)) continue;
      if (dependants(assembly, target).has(source)) continue;
      addSeriesDriver(assembly, link, source, target);
      for (const [d, driver] of drivers.entries()) {
        if (driver.net !== target || driver.from === undefined) continue;
        drivers[d] = { ...driver, mixes: true };
        const e = elements.findIndex((element) => element.drivers[0] === d);
        const { part, from } = driver;
        elements[e] = seriesElement({ part, source: from, driver: d, blocksSteady: false, mixes: true });
      }
      break;
    }
  }
}

/** Nets whose values depend on a net, itself included. */
function dependants({ wiring, drivers, elements }: Assembly, net: number): Set<number> {
  const found = new Set([net]);
  for (const at of found) {
    for (const element of elements) {
      const reads =
        element.follows?.includes(at) === true || element.inputs.some((pin) => wiring.pins[pin]?.net === at);
      if (reads) for (const driver of element.drivers) found.add(drivers[driver]?.net ?? -1);
    }
  }
  return found;
}

function pinOnNet(assembly: Assembly, part: number, net: number): number {
  return assembly.wiring.parts[part]?.pins.find((pin) => assembly.wiring.pins[pin]?.net === net) ?? -1;
}

/** True for a part that hands a short on to what feeds it: contacts, coils, rectifiers. A fuse blows, a regulator limits. */
function passesShorts(part: CircuitPart | undefined): boolean {
  if (part === undefined) return false;
  const { behaviour, family } = part.type;
  if (behaviour.kind === "supply") return family === "rectifier";
  return behaviour.kind === "plain" && behaviour.as !== "fuse" && behaviour.as !== "resistor";
}

/** Supply parts feed their rails; contacts, coils, diodes and resistors between two rails pass supply on. */
function addSupplies(assembly: Assembly, links: readonly Link[]): void {
  const { wiring } = assembly;
  const isRail = (net: number): boolean => net >= 0 && wiring.netDuty[net] === 1;
  const fed = new Set<number>();
  const feed = (part: number, sources: readonly number[], net: number): void => {
    fed.add(net);
    const [source] = sources;
    const drags = source !== undefined && passesShorts(wiring.parts[part]) ? { drags: source } : {};
    assembly.drivers.push({ net, pin: pinOnNet(assembly, part, net), part, ...drags });
    assembly.elements.push(supplyElement({ part, sources, driver: assembly.drivers.length - 1 }));
  };
  for (const part of wiring.parts) {
    const behaviour = part.type.behaviour;
    if (behaviour.kind !== "supply") continue;
    const netOf = (name: string): number => {
      const pin = part.pins.find((p) => wiring.pins[p]?.name === name || wiring.pins[p]?.number === name);
      return pin === undefined ? -1 : (wiring.pins[pin]?.net ?? -1);
    };
    const sources = behaviour.inputs.map(netOf).filter(isRail);
    for (const output of behaviour.outputs) {
      const net = netOf(output);
      if (isRail(net) && !fed.has(net) && !sources.includes(net)) feed(part.index, sources, net);
    }
  }
  const passing = links.filter((link) => isRail(link.from) && isRail(link.to) && link.kind !== "capacitor");
  for (let again = true; again; ) {
    again = false;
    for (const link of passing) {
      if (fed.has(link.from) && !fed.has(link.to)) feed(link.part, [link.from], link.to);
      else if (!link.oneWay && fed.has(link.to) && !fed.has(link.from)) feed(link.part, [link.to], link.from);
      else continue;
      again = true;
    }
  }
  // A rail nothing on the board feeds comes from outside.
  for (const [net, duty] of wiring.netDuty.entries()) {
    if (duty !== 1 || fed.has(net)) continue;
    feed(-1, [], net);
    for (let again = true; again; ) {
      again = false;
      for (const link of passing) {
        const target =
          link.from === net || fed.has(link.from)
            ? link.to
            : !link.oneWay && fed.has(link.to)
              ? link.from
              : -1;
        const source = target === link.to ? link.from : link.to;
        if (target < 0 || fed.has(target) || !fed.has(source)) continue;
        feed(link.part, [source], target);
        again = true;
      }
    }
  }
}
