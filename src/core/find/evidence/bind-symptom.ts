import type { CaseEntry } from "../case/case.js";
import { type FaultSpace, netCode, type RowView } from "../reason/space.js";
import { isWrong, Level, levelMask } from "../settle/value.js";
import {
  type BindProblem,
  bounded,
  type Condition,
  conditionOf,
  type Evidence,
  unknownFaultLikelihood,
} from "./evidence.js";

type Bound<T> = { readonly evidence: T } | { readonly problem: BindProblem };

/** What a data line does to the bits that pass over it. */
type BitFate = "right" | "held-low" | "held-high" | "wrong";

/**
 * Wrong for right characters: each bit that came out high for low points at a line held high, low for high at one
 * held low, and a bit that came out right speaks for its line. The arithmetic is done here so that nobody has to.
 */
export function charactersEvidence(
  space: FaultSpace,
  number: number,
  entry: Extract<CaseEntry, { kind: "characters" }>,
): Bound<Evidence> {
  const right = characterCode(entry.right);
  const wrong = characterCode(entry.wrong);
  if (right === undefined || wrong === undefined) {
    const bad = right === undefined ? entry.right : entry.wrong;
    return {
      problem: { code: "bad-character", message: `'${bad}' is neither one character nor a code like 0x41` },
    };
  }
  const nets = (space.circuit.wiring.board.chain.picture?.characterBits ?? []).map(
    (name) => space.circuit.wiring.netIndex.get(name) ?? -1,
  );
  if (nets.length === 0) {
    return {
      problem: {
        code: "symptom-not-on-board",
        message: "the board file does not say which lines carry the character",
      },
    };
  }
  const missed = space.model.errors.characterBitMissed;
  const of = (fate: BitFate, from: number, to: number): number => {
    if (fate === "right") return from === to ? 1 - missed : missed;
    if (fate === "wrong") return 0.5;
    const held = fate === "held-high" ? 1 : 0;
    return to === held ? 1 - missed : missed;
  };
  const likelihoodOf = (view: RowView): number => {
    let product = 1;
    for (const [bit, net] of nets.entries())
      product *= of(bitFate(view, net), (right >> bit) & 1, (wrong >> bit) & 1);
    return bounded(product);
  };
  const condition = conditionOf(entry, true);
  const changed = right ^ wrong;
  const bits = nets.flatMap((_, bit) =>
    (changed >> bit) & 1
      ? [`bit ${bit} ${(wrong >> bit) & 1 ? "high" : "low"} for ${(right >> bit) & 1 ? "high" : "low"}`]
      : [],
  );
  return {
    evidence: {
      number,
      key: `characters|${right}|${wrong}|${condition}`,
      label: `${entry.wrong} for ${entry.right}: ${bits.length === 0 ? "no bit differs" : bits.join(", ")}`,
      condition,
      likelihoodOf: (view) => likelihoodOf(view),
      notInModel: unknownFaultLikelihood(2 ** nets.length, likelihoodOf(space.health)),
    },
  };
}

function characterCode(text: string): number | undefined {
  if (/^0x[0-9a-f]{1,2}$/i.test(text)) return Number.parseInt(text.slice(2), 16);
  const codes = [...text];
  if (codes.length !== 1) return undefined;
  const code = text.codePointAt(0) ?? 0;
  return code < 256 ? code : undefined;
}

function bitFate(view: RowView, net: number): BitFate {
  if (net < 0) return "right";
  const value = netCode(view, net);
  if (!isWrong(value)) return "right";
  const level = value & levelMask;
  if (level === Level.low || level === Level.fightLow) return "held-low";
  if (level === Level.high || level === Level.floating) return "held-high";
  return "wrong";
}

/** Dead matrix lines: each named line should be wrong or cut off, each other line should not. */
export function deadLinesEvidence(
  space: FaultSpace,
  number: number,
  lines: readonly string[],
  condition: Condition,
): Bound<Evidence[]> {
  const { board, netIndex, netPins, pins, parts } = space.circuit.wiring;
  const all = [...(board.chain.keys?.drive ?? []), ...(board.chain.keys?.sense ?? [])];
  const unknown = lines.find((line) => !all.includes(line));
  if (unknown !== undefined) {
    return {
      problem: {
        code: "unknown-line",
        message: `'${unknown}' is no line of the key matrix`,
        hint: `Its lines are ${all.join(", ")}.`,
      },
    };
  }
  const missed = space.model.errors.keyLineMissed;
  const evidence = all.map((line): Evidence => {
    const net = netIndex.get(line) ?? -1;
    const contacts = new Set(
      (netPins[net] ?? []).filter((pin) =>
        ["keyboard", "connector"].includes(parts[pins[pin]?.part ?? -1]?.type.family ?? ""),
      ),
    );
    const dead = lines.includes(line);
    return {
      number,
      key: `line|${line}|${dead}|${condition}`,
      label: `key line ${line} ${dead ? "dead" : "alive"}`,
      condition,
      likelihoodOf: (view, faults) => {
        const cut = faults.some(
          (fault) => fault.signs.cutPin !== undefined && contacts.has(fault.signs.cutPin),
        );
        const wrong = cut || (net >= 0 && isWrong(netCode(view, net)));
        return wrong === dead ? 1 - missed : missed;
      },
      notInModel: 0.5,
    };
  });
  return { evidence };
}
