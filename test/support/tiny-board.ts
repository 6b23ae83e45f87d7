import { type Board, boardSchema } from "../../src/core/board/board.js";
import { layPlainGrid } from "../../src/core/board/plain-grid.js";

const partPattern = /^([^\s:@=]+):([^\s@=]+)$/;
const pinPattern = /^([^\s=]+)=([^\s=]+)$/;
const positionPattern = /^@(-?[0-9.]+),(-?[0-9.]+)$/;
const railPattern = /^[+-][0-9]+(?:\.[0-9]+)?V$/;

/**
 * A valid board from one line of text, for tests:
 * `U1:74LS00 1=A 2=B 3=Y 7=GND 14=+5V; C1:capacitor-ceramic @10,20 1=+5V 2=GND`.
 *
 * Parts are separated by semicolons; each is `ref:type` and then pins as `number=net`, and `@x,y` in millimetres where
 * the place matters. If no part has a place, all lie on a plain grid. `GND` is ground; nets named `+5V`, `-12V` and so
 * on are rails of that voltage. `more` replaces fields of the board. Throws `SyntaxError` on a malformed text.
 */
export function tinyBoard(text: string, more: Partial<Board> = {}): Board {
  const parts = text
    .split(";")
    .map((piece) => piece.trim())
    .filter((piece) => piece !== "")
    .map(readPart);
  const { outline, positions } = layPlainGrid(Math.max(1, parts.length));
  const isPlaced = parts.some((part) => part.place !== undefined);
  const nets = new Set(parts.flatMap((part) => Object.values(part.pins)));
  return boardSchema.parse({
    formatVersion: 3,
    id: "tiny",
    title: "Tiny",
    summary: "A board for a test.",
    outline,
    ground: "GND",
    rails: [...nets]
      .filter((net) => railPattern.test(net))
      .map((net) => ({ net, nominalVolt: Number.parseFloat(net), tolerancePercent: 5 })),
    parts: parts.map(({ ref, type, pins, place }, i) => ({
      ref,
      type,
      section: "other",
      ...(isPlaced ? (place ?? { xMillimetre: 0, yMillimetre: 0 }) : positions[i]),
      rotationDegree: 0,
      pins,
    })),
    steady: {},
    phases: [{ id: "only", title: "the only moment", cycle: "none" }],
    memory: [],
    chain: { memoryFigure: false },
    accepted: [],
    sources: [],
    ...more,
  });
}

interface TinyPart {
  readonly ref: string;
  readonly type: string;
  readonly pins: Readonly<Record<string, string>>;
  readonly place: { readonly xMillimetre: number; readonly yMillimetre: number } | undefined;
}

function readPart(piece: string): TinyPart {
  const [head = "", ...rest] = piece.split(/\s+/);
  const named = partPattern.exec(head);
  if (named === null) throw new SyntaxError(`a part begins with ref:type, not with '${head}'`);
  const pins = new Map<string, string>();
  let place: TinyPart["place"];
  for (const word of rest) {
    const position = positionPattern.exec(word);
    const pin = pinPattern.exec(word);
    if (position !== null) {
      place = { xMillimetre: Number(position[1]), yMillimetre: Number(position[2]) };
    } else if (pin !== null) {
      const [, number = "", net = ""] = pin;
      if (pins.has(number)) throw new SyntaxError(`pin ${number} stands twice in '${piece}'`);
      pins.set(number, net);
    } else {
      throw new SyntaxError(`'${word}' is neither pin=net nor @x,y`);
    }
  }
  const [, ref = "", type = ""] = named;
  return { ref, type, pins: Object.fromEntries(pins), place };
}
