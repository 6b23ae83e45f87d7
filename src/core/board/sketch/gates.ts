import type { Section } from "../board.js";
import { ground, type PartWish } from "./sketch-part.js";

/** Gates a sketch is wired with. */
export type GateKind = "and" | "nand" | "or" | "nor" | "not" | "xor";

/** One gate that is wanted. */
export interface WantedGate {
  readonly kind: GateKind;
  readonly inputs: readonly string[];
  readonly output: string;
  readonly section: Section;
}

const chipOf: Readonly<Record<GateKind, { readonly type: string; readonly gates: number }>> = {
  and: { type: "74LS08", gates: 4 },
  nand: { type: "74LS00", gates: 4 },
  or: { type: "74LS32", gates: 4 },
  nor: { type: "74LS02", gates: 4 },
  not: { type: "74LS04", gates: 6 },
  xor: { type: "74LS86", gates: 4 },
};

/** Puts gates of one kind and section into common chips; inputs of gates left over are tied to ground. */
export function packGates(add: (wish: PartWish) => unknown, wanted: readonly WantedGate[]): void {
  const groups = new Map<string, WantedGate[]>();
  for (const gate of wanted) {
    const key = `${gate.kind} ${gate.section}`;
    groups.set(key, [...(groups.get(key) ?? []), gate]);
  }
  for (const group of groups.values()) {
    for (let from = 0; from < group.length; ) {
      const first = group[from];
      if (first === undefined) break;
      const { type, gates } = chipOf[first.kind];
      const pins: Record<string, string> = {};
      for (let slot = 0; slot < gates; slot += 1) {
        const gate = group[from + slot];
        const [a = ground, b = ground] = gate?.inputs ?? [];
        pins[`${slot + 1}A`] = a;
        if (first.kind !== "not") pins[`${slot + 1}B`] = b;
        if (gate !== undefined) pins[`${slot + 1}Y`] = gate.output;
      }
      add({ type, section: first.section, pins });
      from += gates;
    }
  }
}
