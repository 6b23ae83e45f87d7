import { framePattern, type TapeScheme } from "./scheme.js";

/** A pulse that may come next. */
export interface PulseEdge {
  readonly from: number;
  readonly to: number;
  /** Which of the lengths it has. */
  readonly length: number;
  /** Logarithm of how usual this way is. */
  readonly prior: number;
  /** Bit of the frame that begins with this pulse, and its value; -1 if none begins. */
  readonly place: number;
  readonly value: number;
}

/** A scheme as the pulses that may follow each other. */
export interface PulseAutomaton {
  readonly nodes: number;
  readonly edges: readonly PulseEdge[];
  /** Lengths of the pulses at nominal speed, in seconds. */
  readonly seconds: readonly number[];
  /** Crossings that a pulse ends after: 1 for half-waves, 2 for cycles. */
  readonly crossings: 1 | 2;
  /** Length that the leader is made of. */
  readonly leaderLength: number;
  /** For each place of the frame: bit of the byte, or -1. */
  readonly bitPlaces: readonly number[];
  /** True if characters have bits of their own by which they are told apart. */
  readonly isFramed: boolean;
  /** Node in the leader, where every recording begins. */
  readonly start: number;
}

const leaveLeader = Math.log(0.02);
const backToLeader = Math.log(1e-4);

/** Builds the pulses that may follow each other in a pulse or phase scheme. Throws `RangeError` for tones. */
export function buildAutomaton(scheme: TapeScheme): PulseAutomaton {
  const { signal } = scheme;
  if (signal.kind === "tones") throw new RangeError("a scheme of tones has no pulses");
  const pattern = framePattern(scheme);
  const shared = {
    bitPlaces: pattern.map((bit) => (bit < 0 && bit > -10 ? -1 - bit : -1)),
    isFramed: scheme.frame.startBits !== "" || scheme.frame.stopBits !== "",
    start: 0,
  };
  if (signal.kind === "phase") return { ...phaseAutomaton(scheme, signal, pattern), ...shared };
  const names = signal.lengths.map(({ name }) => name);
  const indexOf = (name: string): number => names.indexOf(name);
  const builder = new Builder();
  const leader = builder.node();
  const leaderLength = indexOf(scheme.leader.pulse ?? names[0] ?? "");
  const first = builder.node();
  const sync = (scheme.sync ?? []).map(indexOf);
  builder.edge({ from: leader, to: leader, length: leaderLength, prior: Math.log(0.98) });
  const data = pattern.map((_, place) => (place === 0 ? first : builder.node()));
  if (sync.length > 0) builder.chain(leader, first, sync, { prior: leaveLeader });
  pattern.forEach((fixed, place) => {
    const from = data[place] ?? first;
    const to = data[place + 1] ?? first;
    for (const value of [0, 1]) {
      if (fixed >= 0 && fixed !== value) continue;
      const lengths = (value === 0 ? signal.zero : signal.one).map(indexOf);
      const prior = fixed < 0 ? -Math.LN2 : 0;
      builder.chain(from, to, lengths, { prior, place, value });
      // Without sync pulses the first bit follows the leader.
      if (place === 0 && sync.length === 0)
        builder.chain(leader, to, lengths, { prior: prior + leaveLeader, place, value });
    }
  });
  builder.edge({ from: first, to: leader, length: leaderLength, prior: backToLeader });
  return {
    nodes: builder.count,
    edges: builder.edges,
    seconds: signal.lengths.map(({ microseconds }) => microseconds * 1e-6),
    crossings: signal.measure === "cycle" ? 2 : 1,
    leaderLength,
    ...shared,
  };
}

/**
 * A phase scheme as half-waves of half a bit (0) and of a whole bit (1): from the middle of a bit a whole one leads to
 * the middle of a bit of the other value, two halves to one of the same value.
 */
function phaseAutomaton(
  scheme: TapeScheme,
  signal: Extract<TapeScheme["signal"], { kind: "phase" }>,
  pattern: readonly number[],
): Omit<PulseAutomaton, "bitPlaces" | "isFramed" | "start"> {
  const builder = new Builder();
  const leaderBit = scheme.leader.bit ?? 0;
  const leader = builder.node();
  const step = (from: number, to: number, isSame: boolean, rest: EdgeRest): void =>
    builder.chain(from, to, isSame ? [0, 0] : [1], rest);
  step(leader, leader, true, { prior: Math.log(0.98) });
  let before = [{ node: leader, value: leaderBit as number, prior: leaveLeader }];
  for (const bit of scheme.syncBits ?? "") {
    const node = builder.node();
    for (const from of before) step(from.node, node, from.value === Number(bit), { prior: from.prior });
    before = [{ node, value: Number(bit), prior: 0 }];
  }
  // Middles of the bits of a character, for both values.
  const middles = pattern.map((fixed) =>
    [0, 1].map((value) => (fixed >= 0 && fixed !== value ? -1 : builder.node())),
  );
  pattern.forEach((fixed, place) => {
    const last = middles[place === 0 ? pattern.length - 1 : place - 1] ?? [];
    const froms = last.map((node, value) => ({ node, value, prior: 0 })).filter(({ node }) => node >= 0);
    for (const from of place === 0 ? [...before, ...froms] : froms) {
      for (const value of [0, 1]) {
        const node = middles[place]?.[value] ?? -1;
        if (node < 0) continue;
        step(from.node, node, from.value === value, {
          prior: from.prior + (fixed < 0 ? -Math.LN2 : 0),
          place,
          value,
        });
      }
    }
  });
  (middles.at(-1) ?? []).forEach((node, value) => {
    if (node >= 0) step(node, leader, value === leaderBit, { prior: backToLeader });
  });
  const half = signal.bitMicroseconds * 0.5e-6;
  return {
    nodes: builder.count,
    edges: builder.edges,
    seconds: [half, 2 * half],
    crossings: 1,
    leaderLength: 0,
  };
}

interface EdgeRest {
  readonly prior: number;
  readonly place?: number;
  readonly value?: number;
}

class Builder {
  count = 0;
  readonly edges: PulseEdge[] = [];

  node(): number {
    this.count += 1;
    return this.count - 1;
  }

  edge({
    from,
    to,
    length,
    prior,
    place = -1,
    value = 0,
  }: EdgeRest & { from: number; to: number; length: number }): void {
    this.edges.push({ from, to, length, prior, place, value });
  }

  /** Pulses one after the other, by nodes of their own; what is said of them is said of the first. */
  chain(from: number, to: number, lengths: readonly number[], rest: EdgeRest): void {
    let at = from;
    lengths.forEach((length, i) => {
      const next = i === lengths.length - 1 ? to : this.node();
      this.edge({ from: at, to: next, length, ...(i === 0 ? rest : { prior: 0 }) });
      at = next;
    });
  }
}
