import type { LoadedBoard } from "./load-board.js";

/** Where on the board a part lies. */
export interface PartPlace {
  readonly ref: string;
  readonly type: string;
  readonly section: string;
  /** Millimetres from the left edge, component side up. */
  readonly x: number;
  /** Millimetres from the top edge. */
  readonly y: number;
}

/** The parts that the place of a log entry names, in its order: two for `U4.7-U9.3`, none for a net or the supply. */
export function partsAt({ board }: Pick<LoadedBoard, "board">, at: string): PartPlace[] {
  const refs = [...at.matchAll(/[A-Za-z]+\d+[A-Za-z]*/g)].map(([ref]) => ref);
  return [...new Set(refs)].flatMap((ref) => {
    const part = board.parts.find((one) => one.ref === ref);
    if (part === undefined || /^(?:net|rail):/.test(at)) return [];
    const { type, section, xMillimetre: x, yMillimetre: y } = part;
    return [{ ref, type, section, x, y }];
  });
}
