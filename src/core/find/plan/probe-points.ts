import { pinLabel, type Wiring } from "../settle/circuit.js";

/** A place to put a probe. */
export interface ProbePoint {
  readonly pin: number;
  /** `U9.8` */
  readonly label: string;
  /** `U9 pin 8 (Y2)` */
  readonly place: string;
}

/** Finds the pin at which a net is best touched: test points first, then chip legs, the driving one before the rest. */
export class ProbePoints {
  private readonly wiring: Wiring;

  constructor(wiring: Wiring) {
    this.wiring = wiring;
  }

  label(pin: number): string {
    return pinLabel(this.wiring, pin);
  }

  best(net: number): ProbePoint | undefined {
    const pins = this.wiring.netPins[net] ?? [];
    let best: number | undefined;
    let bestScore = Number.NEGATIVE_INFINITY;
    for (const pin of pins) {
      const score = this.score(pin);
      if (score > bestScore) {
        bestScore = score;
        best = pin;
      }
    }
    return best === undefined ? undefined : this.point(best);
  }

  /** Another pin on the same net, for continuity. */
  otherPin(pin: number): number | undefined {
    const net = this.wiring.pins[pin]?.net ?? -1;
    const part = this.wiring.pins[pin]?.part;
    const others = (this.wiring.netPins[net] ?? []).filter((other) => this.wiring.pins[other]?.part !== part);
    return others.sort((a, b) => this.score(b) - this.score(a))[0];
  }

  private point(pin: number): ProbePoint {
    const found = this.wiring.pins[pin];
    const ref = this.wiring.parts[found?.part ?? -1]?.part.ref ?? "?";
    const name = found === undefined || found.name === found.number ? "" : ` (${found.name})`;
    return { pin, label: this.label(pin), place: `${ref} pin ${found?.number ?? "?"}${name}` };
  }

  private score(pin: number): number {
    const found = this.wiring.pins[pin];
    const part = this.wiring.parts[found?.part ?? -1];
    if (part?.type.behaviour.kind === "plain" && part.type.behaviour.as === "test-point") return 4;
    const driving = found?.kind === "out" || found?.kind === "tri" || found?.kind === "oc" ? 1 : 0;
    const chip = (part?.pins.length ?? 0) >= 6 ? 2 : 0;
    return driving + chip;
  }
}
