import type { Board, Section } from "../core/board/board.js";
import type { LoadedBoard } from "./load-board.js";

/** A part as the board holds it. */
export interface ShownPart {
  readonly ref: string;
  readonly type: string;
  /** What the type is, in words. */
  readonly title: string;
  readonly value?: string;
  readonly section: Section;
  readonly socketed: boolean;
  /** Millimetres from the left edge, component side up. */
  readonly x: number;
  /** Millimetres from the top edge. */
  readonly y: number;
  /** Net by pin number. */
  readonly pins: Readonly<Record<string, string>>;
}

/** A net with its pins as `U7.12`. */
export interface ShownNet {
  readonly name: string;
  readonly pins: readonly string[];
}

/** A board laid out for reading. */
export interface ShownBoard {
  readonly id: string;
  readonly title: string;
  readonly summary: string;
  readonly year?: number;
  readonly ground: string;
  readonly rails: Board["rails"];
  readonly parts: readonly ShownPart[];
  /** In the order of their names by code unit. */
  readonly nets: readonly ShownNet[];
  readonly memory: Board["memory"];
  readonly phases: Board["phases"];
}

/** Lays a board out: parts in the board file's order, nets with the pins on them, memory map and phases. */
export function showBoard({ board, types }: LoadedBoard): ShownBoard {
  const pinsOfNet = new Map<string, string[]>();
  for (const part of board.parts) {
    for (const [pin, net] of Object.entries(part.pins)) {
      const pins = pinsOfNet.get(net) ?? [];
      pins.push(`${part.ref}.${pin}`);
      pinsOfNet.set(net, pins);
    }
  }
  return {
    id: board.id,
    title: board.title,
    summary: board.summary,
    ...(board.year === undefined ? {} : { year: board.year }),
    ground: board.ground,
    rails: board.rails,
    parts: board.parts.map((part) => ({
      ref: part.ref,
      type: part.type,
      title: types.get(part.type)?.title ?? "",
      ...(part.value === undefined ? {} : { value: part.value }),
      section: part.section,
      socketed: part.socketed === true,
      x: part.xMillimetre,
      y: part.yMillimetre,
      pins: part.pins,
    })),
    nets: [...pinsOfNet]
      .map(([name, pins]) => ({ name, pins }))
      .sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0)),
    memory: board.memory,
    phases: board.phases,
  };
}
