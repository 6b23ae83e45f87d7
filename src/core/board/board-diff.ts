import type { Board, BoardPart } from "./board.js";

/** A field that differs; absent on the side that does not have it. */
export interface FieldChange {
  /** Path within the board: `title`, `parts.U7.value`, `rails.+5V.nominalVolt`, `memory.ram`. */
  readonly field: string;
  readonly before?: string;
  readonly after?: string;
}

/** A pin that hangs on another net, under names of the second board; absent where the pin is open. */
export interface PinChange {
  readonly pin: string;
  readonly before?: string;
  readonly after?: string;
}

/** What differs between two boards; every list is in the order of references, pins or fields. */
export interface BoardDiff {
  readonly added: readonly string[];
  readonly removed: readonly string[];
  /** Nets with the same pins under another name. */
  readonly renamedNets: readonly { readonly before: string; readonly after: string }[];
  /** Pins of parts that both boards have. */
  readonly pins: readonly PinChange[];
  /** Types, values and places of parts that both boards have, and everything that is not about parts. */
  readonly fields: readonly FieldChange[];
}

const partFields = [
  "type",
  "value",
  "section",
  "frequencyHertz",
  "socketed",
  "side",
  "rotationDegree",
] as const;
// Less is the rounding of two exports.
const movedMillimetre = 0.01;

/** Compares two boards, part by part and pin by pin. A net that was merely renamed is one line, not one for each pin. */
export function diffBoards(before: Board, after: Board): BoardDiff {
  const [mine, theirs] = [partsOf(before), partsOf(after)] as const;
  const newNames = renamed(before, after);
  const pins: PinChange[] = [];
  const fields: FieldChange[] = boardFields(before, after);
  for (const [ref, part] of [...mine].sort(byName)) {
    const other = theirs.get(ref);
    if (other === undefined) continue;
    fields.push(...partChanges(part, other));
    const numbers = [...new Set([...Object.keys(part.pins), ...Object.keys(other.pins)])];
    for (const number of numbers) {
      const old = part.pins[number];
      const [was, is] = [old === undefined ? undefined : (newNames.get(old) ?? old), other.pins[number]];
      if (was !== is) pins.push({ pin: `${ref}.${number}`, ...sides(was, is) });
    }
  }
  return {
    added: [...theirs.keys()].filter((ref) => !mine.has(ref)).sort(),
    removed: [...mine.keys()].filter((ref) => !theirs.has(ref)).sort(),
    renamedNets: [...newNames].sort(byName).map(([old, name]) => ({ before: old, after: name })),
    pins,
    fields,
  };
}

/** True if the two boards are the same in everything a diff looks at. */
export function isSameBoard({ added, removed, renamedNets, pins, fields }: BoardDiff): boolean {
  return [added, removed, renamedNets, pins, fields].every((list) => list.length === 0);
}

function partsOf(board: Board): Map<string, BoardPart> {
  return new Map(board.parts.map((part) => [part.ref, part]));
}

/** New name by old name of nets with exactly the same pins. */
function renamed(before: Board, after: Board): Map<string, string> {
  const [old, now] = [pinsByNet(before), pinsByNet(after)];
  const nameOf = new Map([...now].map(([net, pins]) => [pins, net]));
  const names = new Map<string, string>();
  for (const [net, pins] of old) {
    const name = nameOf.get(pins);
    if (name !== undefined && name !== net && now.get(net) !== pins) names.set(net, name);
  }
  return names;
}

/** The pins of each net as one text. */
function pinsByNet(board: Board): Map<string, string> {
  const nets = new Map<string, string[]>();
  for (const { ref, pins } of board.parts)
    for (const [number, net] of Object.entries(pins)) {
      const list = nets.get(net);
      const pin = `${ref}\u0000${number}`;
      if (list === undefined) nets.set(net, [pin]);
      else list.push(pin);
    }
  return new Map([...nets].map(([net, pins]) => [net, pins.sort().join("\u0001")]));
}

function partChanges(before: BoardPart, after: BoardPart): FieldChange[] {
  const changes = partFields.flatMap((field) =>
    change(`parts.${before.ref}.${field}`, textOf(before[field]), textOf(after[field])),
  );
  const [dx, dy] = [after.xMillimetre - before.xMillimetre, after.yMillimetre - before.yMillimetre];
  if (Math.hypot(dx, dy) < movedMillimetre) return changes;
  return [...changes, ...change(`parts.${before.ref}.place`, placeOf(before), placeOf(after))];
}

function placeOf({ xMillimetre, yMillimetre }: BoardPart): string {
  return `${xMillimetre}, ${yMillimetre} mm`;
}

function boardFields(before: Board, after: Board): FieldChange[] {
  const facts = (board: Board): Map<string, string> =>
    new Map([
      ...(["id", "title", "summary", "year", "machineFamily", "ground", "processor"] as const).flatMap(
        (field) => (board[field] === undefined ? [] : [[field, String(board[field])] as const]),
      ),
      ["outline", `${board.outline.widthMillimetre} x ${board.outline.heightMillimetre} mm`] as const,
      ...board.rails.map((rail) => [`rails.${rail.net}`, JSON.stringify(rail)] as const),
      ...Object.entries(board.steady).map(([net, level]) => [`steady.${net}`, level] as const),
      ...board.phases.map((phase) => [`phases.${phase.id}`, JSON.stringify(phase)] as const),
      ...board.memory.map((region) => [`memory.${region.id}`, JSON.stringify(region)] as const),
      ...Object.entries(board.chain).map(([name, link]) => [`chain.${name}`, JSON.stringify(link)] as const),
    ]);
  const [old, now] = [facts(before), facts(after)];
  return [...new Set([...old.keys(), ...now.keys()])].flatMap((field) =>
    change(field, old.get(field), now.get(field)),
  );
}

function change(field: string, before: string | undefined, after: string | undefined): FieldChange[] {
  return before === after ? [] : [{ field, ...sides(before, after) }];
}

function sides(before: string | undefined, after: string | undefined): { before?: string; after?: string } {
  return { ...(before === undefined ? {} : { before }), ...(after === undefined ? {} : { after }) };
}

function textOf(value: string | number | boolean | undefined): string | undefined {
  return value === undefined ? undefined : String(value);
}

function byName([a]: readonly [string, unknown], [b]: readonly [string, unknown]): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
