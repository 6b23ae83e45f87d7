import type { Board, BoardLevel, BoardPhase, Section } from "../board.js";
import type { PartType } from "../part-type.js";
import { CustomChip } from "./custom-chip.js";
import { type GateKind, packGates, type WantedGate } from "./gates.js";
import {
  ground,
  type PartWish,
  railNet,
  type SketchPart,
  type SketchPhase,
  type SketchTypes,
} from "./sketch-part.js";
import type { UsualWirings } from "./usual.js";

type LevelRule = (phase: SketchPhase) => BoardLevel | undefined;

/** Collects parts, nets, phases and levels of a sketched board; the wirers of the blocks add to it. */
export class SketchBuilder {
  readonly parts: SketchPart[] = [];
  readonly customs: CustomChip[] = [];
  readonly phases: SketchPhase[] = [];
  readonly steady: Record<string, BoardLevel> = {};
  readonly memory: Board["memory"] = [];
  readonly chain: Board["chain"] = { memoryFigure: false };
  readonly rails: Board["rails"] = [];
  /** Address lines the processor itself has; phases give those, counted from the most significant. */
  addressLines = 16;
  readonly types: SketchTypes;
  readonly usual: UsualWirings;
  private readonly gates: WantedGate[] = [];
  private readonly levels = new Map<string, LevelRule>();
  private readonly taken: Set<string>;
  private readonly done = new Set<string>();

  /** @param reserved references the description gives, which are never made up */
  constructor(types: SketchTypes, usual: UsualWirings, reserved: readonly string[]) {
    this.types = types;
    this.usual = usual;
    this.taken = new Set(reserved);
  }

  /** The part type of that name; throws `RangeError` if there is none. */
  type(name: string): PartType {
    const found = this.types.get(name);
    if (found === undefined) throw new RangeError(`there is no part type ${name}`);
    return found;
  }

  /** The first free reference with that letter. */
  freeRef(letter: string): string {
    for (let number = 1; ; number += 1) {
      const ref = `${letter}${number}`;
      if (this.taken.has(ref)) continue;
      this.taken.add(ref);
      return ref;
    }
  }

  /** Adds a part; supply and ground pins are joined by their voltage. */
  add(wish: PartWish): SketchPart {
    const type = typeof wish.type === "string" ? this.type(wish.type) : wish.type;
    const { section, value, frequencyHertz, socketed, samplesIn } = wish;
    const part: SketchPart = {
      ref: wish.ref ?? this.freeRef(wish.letter ?? "U"),
      type,
      section,
      known: wish.known ?? wish.ref !== undefined,
      pins: pinsByNumber(type, wish.pins),
      ...(value === undefined ? {} : { value }),
      ...(frequencyHertz === undefined ? {} : { frequencyHertz }),
      ...(socketed === undefined ? {} : { socketed }),
      ...(samplesIn === undefined ? {} : { samplesIn }),
    };
    this.parts.push(part);
    return part;
  }

  /** Adds a part of which only two ends matter. */
  between(
    type: string,
    letter: string,
    value: string,
    nets: readonly string[],
    section: Section,
  ): SketchPart {
    const pins = Object.fromEntries(nets.map((net, i) => [String(i + 1), net]));
    return this.add({ type, letter, value, section, pins });
  }

  /** A resistor that holds a net high, once for each net. */
  pullUp(net: string, section: Section): void {
    this.once(`pull-up ${net}`, () => {
      this.between("resistor", "R", "4k7", [railNet(5), net], section);
    });
  }

  /** Does something the first time it is asked for under that name. */
  once(name: string, make: () => void): void {
    if (this.done.has(name)) return;
    this.done.add(name);
    make();
  }

  /** Makes `output` from inputs by two-input gates or inverters that are packed into chips at the end. */
  gate(kind: GateKind, inputs: readonly string[], output: string, section: Section): string {
    const [first = "", ...others] = inputs;
    if (kind === "not") {
      this.gates.push({ kind, inputs: [first], output, section });
      return output;
    }
    const inner = kind === "nand" ? "and" : kind === "nor" ? "or" : kind;
    let before = first;
    others.forEach((input, i) => {
      const isLast = i === others.length - 1;
      const net = isLast ? output : `${output} ${i + 1}`;
      this.gates.push({ kind: isLast ? kind : inner, inputs: [before, input], output: net, section });
      before = net;
    });
    return output;
  }

  /** Low if any of the selects is: the select itself where there is one only. */
  anyOf(selects: readonly string[], output: string, section: Section): string {
    const [only] = selects;
    return selects.length === 1 && only !== undefined ? only : this.gate("and", selects, output, section);
  }

  /** A custom chip, made when it is first asked for. */
  custom(
    name: string,
    options: { ref?: string | undefined; section: Section; socketed?: boolean | undefined },
  ): CustomChip {
    const known = this.customs.find((chip) => chip.name === name);
    if (known !== undefined) return known;
    const chip = new CustomChip(name, { ...options, ref: options.ref ?? this.freeRef("U") });
    this.customs.push(chip);
    return chip;
  }

  /** States the healthy level of a net that a clocked or outside part drives. */
  level(net: string, rule: LevelRule): void {
    this.levels.set(net, rule);
  }

  addPhase(phase: Partial<SketchPhase> & Pick<SketchPhase, "id" | "title" | "cycle">): void {
    this.phases.push({ selects: [], video: false, ...phase });
  }

  /** The phases with the levels the rules give. */
  finishedPhases(): BoardPhase[] {
    return this.phases.map((phase) => {
      const levels: Record<string, BoardLevel> = {};
      for (const [net, rule] of this.levels) {
        const level = rule(phase);
        if (level !== undefined) levels[net] = level;
      }
      const { selects: _selects, video: _video, ...whole } = phase;
      const plain =
        whole.address === undefined
          ? whole
          : { ...whole, address: whole.address.slice(0, this.addressLines) };
      return Object.keys(levels).length === 0 ? plain : { ...plain, levels };
    });
  }

  /**
   * Packs gates into chips, and makes the custom chips parts; returns the types made for this board. Gates and outputs
   * to which nothing listens are left out.
   */
  finishChips(): PartType[] {
    const nets = [...this.netsOfParts(), ...this.customs.flatMap((chip) => Object.values(chip.netsByPin()))];
    packGates((wish) => this.add(wish), heardGates(this.gates, nets));
    const types = this.customs.map((chip) => {
      const type = chip.toType(this.types);
      const pins = chip.netsByPin();
      const { ref, section, socketed, samplesIn } = chip;
      this.add({
        type,
        section,
        pins,
        ref,
        known: chip.known,
        socketed,
        ...(samplesIn === undefined ? {} : { samplesIn }),
      });
      return type;
    });
    this.dropLoneOutputs();
    return types;
  }

  /** Nets of all parts, once for each pin. */
  private netsOfParts(): string[] {
    return this.parts.flatMap(({ pins }) => Object.values(pins));
  }

  private dropLoneOutputs(): void {
    const counts = new Map<string, number>();
    for (const net of this.netsOfParts()) counts.set(net, (counts.get(net) ?? 0) + 1);
    for (const { type, pins } of this.parts) {
      if (type.pins === "as-board") continue;
      for (const { number, kind } of type.pins) {
        const net = pins[number];
        if (net !== undefined && kind !== "in" && counts.get(net) === 1) delete pins[number];
      }
    }
  }
}

/** The gates whose output somebody listens to, in the end: a part, or a gate that is itself heard. */
function heardGates(gates: readonly WantedGate[], nets: readonly string[]): WantedGate[] {
  let heard = [...gates];
  for (;;) {
    const listened = new Set([...nets, ...heard.flatMap(({ inputs }) => inputs)]);
    const left = heard.filter(({ output }) => listened.has(output));
    if (left.length === heard.length) return heard;
    heard = left;
  }
}

/** Pins by number from pins by name, with supply and ground joined by voltage. */
function pinsByNumber(type: PartType, wished: PartWish["pins"]): Record<string, string> {
  const given = new Map(
    Object.entries(wished).filter((entry): entry is [string, string] => entry[1] !== undefined),
  );
  const pins: Record<string, string> = {};
  if (type.pins === "as-board") return Object.fromEntries(given);
  const used = new Set<string>();
  for (const { number, name, kind } of type.pins) {
    const key = given.has(name) ? name : number;
    const net = given.get(key) ?? supplyNet(type, name, kind);
    if (given.has(key)) used.add(key);
    if (net !== undefined) pins[number] = net;
  }
  for (const name of given.keys()) {
    if (!used.has(name)) throw new RangeError(`type ${type.type} has no pin named ${name}`);
  }
  return pins;
}

function supplyNet(type: PartType, name: string, kind: string): string | undefined {
  if (kind === "ground") return ground;
  if (kind !== "power") return undefined;
  const volt = type.rails.find((rail) => rail.pin === name)?.nominalVolt;
  return volt === undefined ? undefined : volt === 0 ? ground : railNet(volt);
}
