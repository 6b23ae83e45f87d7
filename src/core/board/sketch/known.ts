import { z } from "zod";
import type { Board } from "../board.js";
import type { ConnectionFact } from "../grow/connection.js";
import { growBoard } from "../grow/grow.js";

const pin = z
  .string()
  .regex(/^.+\.[^.]+$/)
  .max(60)
  .describe("A pin as `U4.7`.");

/** What is known of a sketched board by now: what `boardwake board sketch --known` reads. */
export const knownSchema = z.strictObject({
  $schema: z.string().optional(),
  formatVersion: z.literal(1),
  parts: z
    .array(
      z.strictObject({
        sketched: z.string().min(1).max(40).describe("Reference in the sketch."),
        ref: z.string().min(1).max(40).describe("Reference as printed on the board."),
      }),
    )
    .default([])
    .describe("Parts of the sketch that were found on the board."),
  connections: z
    .array(
      z.strictObject({
        from: pin,
        to: pin,
        shows: z.enum(["rings", "open"]).describe("Whether the two pins are joined."),
      }),
    )
    .max(5000)
    .default([])
    .describe("Pins tried against each other with the power off, by their references as printed."),
});

export type Known = z.infer<typeof knownSchema>;

/** A board refined by what is known. */
export interface RefinedBoard {
  readonly board: Board;
  /** What the facts changed or confirmed, one sentence each. */
  readonly changes: readonly string[];
  /** Facts that cannot hold, together or on this board, one sentence each. */
  readonly contradictions: readonly string[];
}

/**
 * Works facts into a sketched board: parts get their printed references, and pins that ring are joined or leave their net
 * as `growBoard` does. A pin that was found to ring is assumed no longer, nor is a part with such a pin.
 */
export function refineBoard(board: Board, { parts, connections }: Known): RefinedBoard {
  const contradictions: string[] = [];
  const names = new Map<string, string>();
  const taken = new Set(board.parts.map(({ ref }) => ref));
  for (const { sketched, ref } of parts) {
    if (!taken.has(sketched)) contradictions.push(`The sketch has no part ${sketched}.`);
    else if (ref !== sketched && taken.has(ref))
      contradictions.push(`The reference ${ref} belongs to another part of the sketch.`);
    else names.set(sketched, ref);
  }
  const named = renameParts(board, names);
  const facts = connections.map((fact, i): ConnectionFact => ({ entry: i + 1, ...fact }));
  const refs = new Set(named.parts.map(({ ref }) => ref));
  for (const { entry, from, to } of facts)
    for (const one of [from, to])
      if (!refs.has(one.slice(0, one.lastIndexOf("."))))
        contradictions.push(`Connection ${entry} names ${one}, which the board does not have.`);
  const grown = growBoard(named, facts);
  const broken = new Set(grown.contradictions.map(({ entry }) => entry));
  const seen = new Set(
    facts
      .filter(({ entry, shows }) => shows === "rings" && !broken.has(entry))
      .flatMap(({ from, to }) => [from, to]),
  );
  return {
    board: withSeen(grown.board, seen, new Set(names.values())),
    changes: grown.changes.map(({ says }) => says),
    contradictions: [...contradictions, ...grown.contradictions.map(({ says }) => says)],
  };
}

/** What a real board file tells of a sketch: pins of the parts both have that share a net. */
export function knownFromBoard(real: Board, sketch: Board): Known & { readonly others: readonly string[] } {
  const sketched = new Map(sketch.parts.map(({ ref, type }) => [ref, type]));
  const others = real.parts
    .filter(({ ref, type }) => sketched.has(ref) && sketched.get(ref) !== type)
    .map(
      ({ ref, type }) =>
        `${ref} is a ${type}, where the sketch has a ${sketched.get(ref)}; its pins are not compared.`,
    );
  const pinsOf = new Map<string, string[]>();
  for (const { ref, type, pins } of real.parts) {
    if (sketched.get(ref) !== type) continue;
    for (const [number, net] of Object.entries(pins))
      pinsOf.set(net, [...(pinsOf.get(net) ?? []), `${ref}.${number}`]);
  }
  const connections = [...pinsOf.values()].flatMap(([first, ...rest]) =>
    first === undefined ? [] : rest.map((to) => ({ from: first, to, shows: "rings" as const })),
  );
  return { formatVersion: 1, parts: [], connections, others };
}

function renameParts(board: Board, names: ReadonlyMap<string, string>): Board {
  if (names.size === 0) return board;
  const now = (ref: string): string => names.get(ref) ?? ref;
  const { picture } = board.chain;
  return {
    ...board,
    parts: board.parts
      .map((part) => ({ ...part, ref: now(part.ref) }))
      .sort((a, b) => (a.ref < b.ref ? -1 : 1)),
    ...(board.processor === undefined ? {} : { processor: now(board.processor) }),
    memory: board.memory.map((region) => ({
      ...region,
      chips: region.chips.map((chip) => ({ ...chip, part: now(chip.part) })),
    })),
    chain:
      picture === undefined
        ? board.chain
        : { ...board.chain, picture: { ...picture, generator: picture.generator.map(now) } },
  };
}

function withSeen(board: Board, pins: ReadonlySet<string>, refs: ReadonlySet<string>): Board {
  const parts = board.parts.map((part) => {
    const { source, assumedPins, ...rest } = part;
    const left = assumedPins?.filter((number) => !pins.has(`${part.ref}.${number}`)) ?? [];
    const isSeen =
      refs.has(part.ref) || Object.keys(part.pins).some((number) => pins.has(`${part.ref}.${number}`));
    return {
      ...rest,
      ...(source === undefined || isSeen ? {} : { source }),
      ...(left.length === 0 ? {} : { assumedPins: left }),
    };
  });
  return { ...board, parts };
}
