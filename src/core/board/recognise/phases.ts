import type { Board, BoardPhase } from "../board.js";
import type { BusTarget } from "./bus-targets.js";
import type { Guess } from "./guess.js";
import { type Levels, NetLevels, type TypedPart } from "./net-levels.js";
import { type SearchBudget, solveLevels, type Wish } from "./solve-levels.js";
import { disturbances, pinNet, quietWishes, sharesNet, wish } from "./wishes.js";

/** Phases of a board, with the levels that never change and the addresses found for its memory. */
export interface PhasePlan {
  readonly phases: Board["phases"];
  readonly steady: Board["steady"];
  /** Lowest and highest address found to select a target. */
  readonly ranges: ReadonlyMap<BusTarget, { readonly from: number; readonly to: number }>;
  readonly guesses: readonly Guess[];
}

/** What phases are planned from. */
export interface PhaseContext {
  readonly board: Pick<Board, "ground" | "rails">;
  readonly parts: readonly TypedPart[];
  readonly processor: TypedPart | undefined;
  readonly targets: readonly BusTarget[];
  isActiveLow(net: string): boolean;
}

// More moments than this slow every later computation down and tell nothing new.
const maximumPhases = 16;

// Bounds the time for any circuit; boards of the time need some thousands.
const maximumEvaluations = 300_000;

type CycleKind = Exclude<BoardPhase["cycle"], "none">;

const cycleKinds: readonly { kind: CycleKind; title: string; action: "read" | "write" | "none" }[] = [
  { kind: "fetch", title: "instruction fetch", action: "read" },
  { kind: "memory-read", title: "memory read", action: "read" },
  { kind: "memory-write", title: "memory write", action: "write" },
  { kind: "io-read", title: "input from a port", action: "read" },
  { kind: "io-write", title: "output to a port", action: "write" },
  { kind: "refresh", title: "refresh", action: "none" },
  { kind: "idle", title: "no transfer", action: "none" },
];

/**
 * Plans the typical moments of a board. With a processor: one phase for each kind of bus cycle it has and, where the
 * decoding can be followed, for each chip that answers in it, with the address bits and the levels of open nets under
 * which exactly that chip answers. Without one: the moment of a transfer, and the moment between transfers.
 */
export function planPhases(context: PhaseContext): PhasePlan {
  return new Planner(context).plan();
}

class Planner {
  private readonly context: PhaseContext;
  private readonly model: NetLevels;
  private readonly addressNets: readonly (string | undefined)[];
  private readonly ownNets: ReadonlySet<string>;
  private readonly steady = new Map<string, 0 | 1>();
  private readonly guesses: Guess[] = [];
  private readonly ranges = new Map<BusTarget, { from: number; to: number }>();
  private readonly phases: BoardPhase[] = [];
  private readonly budget: SearchBudget = { evaluations: maximumEvaluations };

  constructor(context: PhaseContext) {
    this.context = context;
    this.model = new NetLevels(context.board, context.parts);
    const { processor } = context;
    const behaviour = processor?.type.behaviour;
    const netsOf = (names: readonly string[]): (string | undefined)[] =>
      names.map((name) => pinNet(processor, name));
    this.addressNets = behaviour?.kind === "processor" ? netsOf(behaviour.address) : [];
    const dataNets = behaviour?.kind === "processor" ? netsOf(behaviour.data) : [];
    this.ownNets = new Set(
      [...this.addressNets, ...dataNets].flatMap((net) => (net === undefined ? [] : [net])),
    );
  }

  plan(): PhasePlan {
    this.calm();
    const behaviour = this.context.processor?.type.behaviour;
    if (behaviour?.kind === "processor") {
      for (const cycle of cycleKinds) {
        const levels = behaviour.cycles[cycle.kind];
        if (levels !== undefined) this.planCycle(cycle, this.cycleLevels(levels));
      }
    } else {
      this.planWithoutProcessor();
    }
    const steady = Object.fromEntries([...this.steady].map(([net, level]) => [net, levelName(level)]));
    return { phases: this.phases, steady, ranges: this.ranges, guesses: this.guesses };
  }

  /** Gives nets that would stop, reset or interrupt somebody their resting level, once for all phases. */
  private calm(): void {
    for (const typed of this.context.parts) {
      for (const expression of disturbances(typed)) {
        const found = this.solve(
          [{ typed, expression, wanted: 0 }],
          this.steady,
          (net) => !this.ownNets.has(net),
        );
        for (const [net, level] of found ?? []) this.steady.set(net, level);
      }
    }
  }

  private solve(
    wishes: readonly Wish[],
    given: Levels,
    mayTry: (net: string) => boolean,
  ): Map<string, 0 | 1> | undefined {
    const firstTry = (net: string): 0 | 1 => (this.context.isActiveLow(net) ? 1 : 0);
    return solveLevels(this.model, wishes, given, { mayTry, firstTry, budget: this.budget });
  }

  private cycleLevels(levels: Readonly<Record<string, "low" | "high">>): Map<string, 0 | 1> {
    const given = new Map(this.steady);
    for (const [name, level] of Object.entries(levels)) {
      const net = pinNet(this.context.processor, name);
      if (net !== undefined) given.set(net, level === "high" ? 1 : 0);
    }
    return given;
  }

  private planCycle(cycle: (typeof cycleKinds)[number], given: Levels): void {
    const before = this.phases.length;
    for (const target of this.targetsOf(cycle.kind)) {
      if (cycle.action === "none" || this.phases.length >= maximumPhases) break;
      const found = this.solve(this.wishes(target, cycle.action), given, (net) => this.mayDecide(net, given));
      if (found === undefined) continue;
      const address = this.address(found);
      if (!this.ranges.has(target) && target.kind !== "peripheral") this.ranges.set(target, rangeOf(address));
      this.addPhase(cycle, target, address, found);
    }
    if (this.phases.length > before || this.phases.length >= maximumPhases) return;
    const wishes = this.context.targets.flatMap((target) => quietWishes(target, cycle.action === "none"));
    const found = this.solve(
      wishes,
      given,
      (net) => this.mayDecide(net, given) && !this.addressNets.includes(net),
    );
    this.addPhase(cycle, undefined, this.address(new Map()), found ?? new Map());
  }

  /** Open nets whose level belongs to the phase: address lines, and nets driven by something logic cannot follow. */
  private mayDecide(net: string, given: Levels): boolean {
    return !given.has(net) && (this.addressNets.includes(net) || !this.ownNets.has(net));
  }

  private targetsOf(kind: CycleKind): BusTarget[] {
    const { targets } = this.context;
    const of = (...kinds: BusTarget["kind"][]): BusTarget[] =>
      targets.filter((target) => kinds.includes(target.kind));
    const behaviour = this.context.processor?.type.behaviour;
    const hasPorts = behaviour?.kind === "processor" && behaviour.cycles["io-read"] !== undefined;
    switch (kind) {
      case "fetch": {
        const rom = of("rom");
        return rom.length > 0 ? rom : of("ram");
      }
      case "memory-read":
      case "memory-write":
        return hasPorts ? of("ram") : [...of("ram"), ...of("peripheral")];
      case "io-read":
      case "io-write":
        return of("peripheral");
      default:
        return [];
    }
  }

  /** The target answers, and nobody else on its data nets does. */
  private wishes(target: BusTarget, action: "read" | "write"): Wish[] {
    const wishes: Wish[] = wish(target, target[action], 1);
    const first = target.chips[0]?.typed;
    if (first !== undefined) {
      for (const strobe of target.strobes) wishes.push({ typed: first, expression: strobe, wanted: 0 });
    }
    for (const other of this.context.targets) {
      if (other !== target && sharesNet(other, target)) wishes.push(...quietWishes(other, true));
    }
    return wishes;
  }

  private address(found: Levels): string {
    const bits = this.addressNets.map((net) => (net === undefined ? undefined : found.get(net)));
    return bits
      .map((bit) => (bit === undefined ? "x" : String(bit)))
      .reverse()
      .join("");
  }

  private addPhase(
    cycle: (typeof cycleKinds)[number],
    target: BusTarget | undefined,
    address: string,
    found: Levels,
  ): void {
    const refs = target?.chips.map(({ typed }) => typed.part.ref) ?? [];
    const isFirst = !this.phases.some((phase) => phase.cycle === cycle.kind);
    const name = refs[0];
    const needed = neededFor(cycle.kind, isFirst, target);
    const levels = this.levelsOutsideAddress(found);
    this.phases.push({
      id: isFirst || name === undefined ? cycle.kind : `${cycle.kind}-${name.toLowerCase()}`,
      title:
        refs.length === 0
          ? cycle.title
          : `${cycle.title}, ${refs.length === 1 ? name : `${name} to ${refs.at(-1)}`}`,
      cycle: cycle.kind,
      address,
      ...(needed === undefined ? {} : { needed }),
      ...(levels === undefined ? {} : { levels }),
    });
    if (target === undefined) return;
    const known = [...found].map(([net, level]) => `${net} ${levelName(level)}`).join(", ");
    const reason =
      known === "" ? "it is selected whatever the open nets carry" : `only it answers with ${known}`;
    this.guesses.push({
      subject: name ?? "board",
      taken: `answers in ${cycle.title}`,
      reason,
      certainty: "likely",
    });
  }

  private levelsOutsideAddress(found: Levels): BoardPhase["levels"] {
    const entries = [...found].filter(([net]) => !this.addressNets.includes(net));
    if (entries.length === 0) return undefined;
    return Object.fromEntries(entries.map(([net, level]) => [net, levelName(level)]));
  }

  private planWithoutProcessor(): void {
    const { targets } = this.context;
    const active = new Map<string, 0 | 1>(this.steady);
    for (const target of targets) {
      const found = this.solve(
        this.wishes(target, "read"),
        active,
        (net) => !target.dataNets.has(net) && !active.has(net),
      );
      for (const [net, level] of found ?? []) active.set(net, level);
      if (found === undefined) continue;
      const levels = [...found].map(([net, level]) => `${net} ${levelName(level)}`).join(", ");
      const ref = target.chips[0]?.typed.part.ref ?? "board";
      this.guesses.push({
        subject: ref,
        taken: "answers in phase 'active'",
        reason: `it is selected with ${levels}`,
        certainty: "likely",
      });
    }
    const quiet = this.solve(
      targets.flatMap((target) => quietWishes(target, true)),
      this.steady,
      () => true,
    );
    const phase = (id: string, title: string, found: Levels): BoardPhase => {
      const levels = this.levelsOutsideAddress(new Map([...found].filter(([net]) => !this.steady.has(net))));
      return { id, title, cycle: "none", ...(levels === undefined ? {} : { levels }) };
    };
    this.phases.push(
      phase("active", "a transfer", active),
      phase("quiet", "between transfers", quiet ?? new Map()),
    );
  }
}

function neededFor(kind: CycleKind, isFirst: boolean, target: BusTarget | undefined): BoardPhase["needed"] {
  if (kind === "fetch") return isFirst ? "start-code" : "later";
  if (kind === "memory-read" || kind === "memory-write")
    return isFirst && target?.kind !== "peripheral" ? "workspace" : "later";
  return kind === "io-read" || kind === "io-write" ? "later" : undefined;
}

function rangeOf(address: string): { from: number; to: number } {
  return {
    from: Number.parseInt(address.replaceAll("x", "0"), 2),
    to: Number.parseInt(address.replaceAll("x", "1"), 2),
  };
}

function levelName(level: 0 | 1): "low" | "high" {
  return level === 1 ? "high" : "low";
}
