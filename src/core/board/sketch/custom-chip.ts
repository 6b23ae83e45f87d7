import type { Section } from "../board.js";
import type { Expression } from "../expression.js";
import type { PartType, PinKind } from "../part-type.js";
import type { SketchTypes } from "./sketch-part.js";

interface CustomPin {
  readonly name: string;
  readonly kind: PinKind;
  readonly net: string;
}

/**
 * A chip of whose inside nothing is known: pins are added as the blocks need them, with what each output depends on.
 * Outputs of one clock are a register whose data are right if all that they depend on are; selects and the like may be
 * given as expressions. Pin names are those of the nets, pin numbers are made up.
 */
export class CustomChip {
  readonly name: string;
  readonly ref: string;
  readonly section: Section;
  readonly socketed: boolean | undefined;
  known = false;
  samplesIn: readonly string[] | undefined;
  /** Net of the clock that moves its outputs. */
  clock = "CLK FAST";
  private readonly pins = new Map<string, CustomPin>();
  private readonly outputs = new Map<string, Expression>();
  private readonly enables = new Map<string, Expression>();
  private readonly clocked = new Map<string, Map<string, Expression | undefined>>();

  constructor(name: string, options: { ref: string; section: Section; socketed?: boolean | undefined }) {
    this.name = name;
    this.ref = options.ref;
    this.section = options.section;
    this.socketed = options.socketed;
  }

  /** Joins an input to a net and gives the pin's name back. */
  input(net: string): string {
    return this.pin(net, "in");
  }

  /** A combinational output; `enable` makes it let go while false. */
  output(net: string, value: Expression, enable?: Expression): void {
    const name = this.pin(net, enable === undefined ? "out" : "tri");
    this.outputs.set(name, value);
    if (enable !== undefined) this.enables.set(name, enable);
  }

  /**
   * An output that moves with a clock net and depends on other nets; without any it counts. What it depends on counts
   * only while the net `while` is high, if one is given.
   */
  follows(
    net: string,
    clock: string,
    on: readonly string[],
    options: { readonly enable?: Expression; readonly while?: string } = {},
  ): void {
    const { enable } = options;
    const name = this.pin(net, enable === undefined ? "out" : "tri");
    const clockPin = this.input(clock);
    const [first, ...others] = on.map((other) => this.input(other));
    const all: Expression | undefined =
      first === undefined ? undefined : others.length === 0 ? first : ["xor", first, ...others];
    const data: Expression | undefined =
      all === undefined || options.while === undefined ? all : ["and", this.input(options.while), all];
    const register = this.clocked.get(clockPin) ?? new Map<string, Expression | undefined>();
    this.clocked.set(clockPin, register.set(name, data));
    if (enable !== undefined) this.enables.set(name, enable);
  }

  netsByPin(): Record<string, string> {
    return Object.fromEntries([...this.pins.values()].map(({ name, net }) => [name, net]));
  }

  /** The part type this chip has become, under a name the library does not have. */
  toType(types: SketchTypes): PartType {
    let type = `${this.name} (sketched)`;
    for (let n = 2; types.get(type) !== undefined; n += 1) type = `${this.name} (sketched ${n})`;
    const pins = [
      ...[...this.pins.values()].map(({ name, kind }) => ({ name, kind })),
      { name: "VCC", kind: "power" as const },
      { name: "VSS", kind: "ground" as const },
    ].map((pin, i) => ({ number: String(i + 1), ...pin }));
    const isLarge = pins.length > 20;
    return {
      type,
      title: `${this.name}: a custom chip; pins and their numbers are assumed`,
      package: `DIP${[14, 16, 20, 24, 28, 40, 48, 64].find((size) => size >= pins.length) ?? pins.length}`,
      technology: isLarge ? "nmos" : "ls-ttl",
      family:
        this.section === "video" && isLarge
          ? "video-controller"
          : isLarge
            ? "peripheral"
            : "programmable-logic",
      pins,
      rails: [{ pin: "VCC", nominalVolt: 5, minimumVolt: 4.75, maximumVolt: 5.25 }],
      supplyCurrentMilliampere: isLarge ? 150 : 80,
      behaviour: this.behaviour(),
      sources: [{ id: "common-practice", confidence: "memory" }],
    };
  }

  private behaviour(): PartType["behaviour"] {
    if (this.outputs.size + this.clocked.size === 0) return { kind: "cautious" };
    return {
      kind: "logic",
      outputs: Object.fromEntries(this.outputs),
      registers: [...this.clocked].map(([clock, outputs]) => ({
        kind: "edge" as const,
        clock,
        outputs: [...outputs].map(([pin, data]) => ({ pin, ...(data === undefined ? {} : { data }) })),
      })),
      ...(this.enables.size === 0 ? {} : { enables: Object.fromEntries(this.enables) }),
    };
  }

  /** A net has one pin, named like it; one that listens and speaks in turn goes both ways. */
  private pin(net: string, kind: PinKind): string {
    const before = this.pins.get(net)?.kind;
    const isBoth = (before === "in" && kind === "tri") || (before === "tri" && kind === "in");
    const stays = before !== undefined && !isBoth;
    this.pins.set(net, { name: net, kind: stays ? before : isBoth ? "bidir" : kind, net });
    return net;
  }
}
