import type { Board, BoardPart } from "../../board/board.js";
import { type Expression, evaluateExpression, expressionPins } from "../../board/expression.js";
import type { PartType, PinKind } from "../../board/part-type.js";
import { passiveLinks } from "../../board/passive-links.js";

/** Part types by name; the installed library and the board's own types. */
export interface TypeSource {
  get(type: string): PartType | undefined;
}

/** A pin of a part on the board. */
export interface PlacedPin {
  readonly part: string;
  readonly number: string;
  readonly name: string;
  readonly kind: PinKind;
}

/** A pin that drives a net by a function of other nets. */
export interface DrivenPin extends PlacedPin {
  readonly expression: Expression;
}

/** What a board connects, as far as the ways of addresses and data need it. */
export interface Circuit {
  readonly board: Board;
  part(ref: string): { readonly placed: BoardPart; readonly type: PartType } | undefined;
  pinsOn(net: string): readonly PlacedPin[];
  /** Net of a pin by its name in the part type; undefined if it is open. */
  netOf(ref: string, pinName: string): string | undefined;
  /** Pins of logic parts that can drive the net. */
  driversOf(net: string): readonly DrivenPin[];
  /** Nets at the other ends of single resistors on this net, with the resistor. */
  acrossResistor(net: string): readonly { readonly net: string; readonly part: string }[];
  /** Level of a net that never changes: ground, a rail, or what a resistor pulls to one; undefined for all others. */
  fixedLevel(net: string): boolean | undefined;
}

/** Indexes a board; parts of unknown type are left out. */
export function indexCircuit(board: Board, types: TypeSource): Circuit {
  const parts = new Map<string, { placed: BoardPart; type: PartType }>();
  const pins = new Map<string, PlacedPin[]>();
  const resistors = new Map<string, { net: string; part: string }[]>();
  for (const placed of board.parts) {
    const type = types.get(placed.type);
    if (type === undefined) continue;
    parts.set(placed.ref, { placed, type });
    for (const link of passiveLinks(placed, type)) {
      if (link.through !== "resistor" && link.through !== "contact") continue;
      addTo(resistors, link.from, { net: link.to, part: placed.ref });
      addTo(resistors, link.to, { net: link.from, part: placed.ref });
    }
    if (type.pins === "as-board") continue;
    for (const { number, name, kind } of type.pins) {
      const net = placed.pins[number];
      if (net !== undefined) addTo(pins, net, { part: placed.ref, number, name, kind });
    }
  }
  const rails = new Map(board.rails.map(({ net, nominalVolt }) => [net, nominalVolt > 0]));
  const netOf = (ref: string, pinName: string): string | undefined => {
    const found = parts.get(ref);
    if (found === undefined || found.type.pins === "as-board") return undefined;
    const pin = found.type.pins.find(({ name }) => name === pinName);
    return pin === undefined ? undefined : found.placed.pins[pin.number];
  };
  const driversOf = (net: string): DrivenPin[] =>
    (pins.get(net) ?? []).flatMap((pin) => {
      const expression = drivenBy(parts.get(pin.part)?.type, pin.name);
      return expression === undefined ? [] : [{ ...pin, expression }];
    });
  const across = (net: string): { net: string; part: string }[] => resistors.get(net) ?? [];
  const supplyLevel = (net: string): boolean | undefined => (net === board.ground ? false : rails.get(net));
  const fixedLevel = (net: string): boolean | undefined => {
    const own = supplyLevel(net);
    if (own !== undefined || driversOf(net).length > 0) return own;
    return across(net)
      .map((link) => supplyLevel(link.net))
      .find((level) => level !== undefined);
  };
  return {
    board,
    part: (ref) => parts.get(ref),
    pinsOn: (net) => pins.get(net) ?? [],
    netOf,
    driversOf,
    acrossResistor: across,
    fixedLevel,
  };
}

function addTo<T>(map: Map<string, T[]>, key: string, item: T): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [item]);
  else list.push(item);
}

/** What the pin carries when it drives, as a function of the part's other pins. */
function drivenBy(type: PartType | undefined, pin: string): Expression | undefined {
  if (type?.behaviour.kind !== "logic") return undefined;
  const { outputs, registers = [] } = type.behaviour;
  if (Object.hasOwn(outputs, pin)) return outputs[pin];
  for (const { kind, outputs: stored } of registers) {
    if (kind !== "transparent" && kind !== "edge") continue;
    const found = stored.find((output) => output.pin === pin);
    if (found?.data !== undefined) return found.data;
  }
  return undefined;
}

/** What a function comes down to once the pins with a fixed level are filled in. */
export type Passage =
  | { readonly kind: "follows"; readonly pin: string }
  | { readonly kind: "chooses"; readonly select: string; readonly low: string; readonly high: string };

/**
 * Recognises a function that passes one pin on (a buffer or inverter), or one of two as a third says (a multiplexer, also
 * one with an input tied to a level). Undefined for everything else. Functions of more than 8 free pins are not looked at.
 */
export function passageOf(
  expression: Expression,
  levelOf: (pin: string) => boolean | undefined,
): Passage | undefined {
  const plain = plainPassage(expression, levelOf);
  if (plain !== undefined) return plain;
  const fixed = expressionPins(expression).filter((pin) => levelOf(pin) !== undefined);
  for (const input of fixed) {
    const found = plainPassage(expression, (pin) => (pin === input ? undefined : levelOf(pin)));
    if (found?.kind === "chooses" && found.select !== input) return found;
  }
  return undefined;
}

function plainPassage(
  expression: Expression,
  levelOf: (pin: string) => boolean | undefined,
): Passage | undefined {
  const free = expressionPins(expression).filter((pin) => levelOf(pin) === undefined);
  if (free.length === 0 || free.length > 8) return undefined;
  const needed = neededPins(expression, free, new Map(), levelOf);
  const [only] = needed;
  if (needed.length === 1 && only !== undefined) return { kind: "follows", pin: only };
  if (needed.length !== 3) return undefined;
  for (const select of needed) {
    const [low, moreLow] = neededPins(expression, needed, new Map([[select, false]]), levelOf);
    const [high, moreHigh] = neededPins(expression, needed, new Map([[select, true]]), levelOf);
    if (low === undefined || high === undefined || low === high) continue;
    if (moreLow === undefined && moreHigh === undefined) return { kind: "chooses", select, low, high };
  }
  return undefined;
}

/** Of the free pins those whose level makes a difference, with some pins held. */
function neededPins(
  expression: Expression,
  free: readonly string[],
  held: ReadonlyMap<string, boolean>,
  levelOf: (pin: string) => boolean | undefined,
): string[] {
  const open = free.filter((pin) => !held.has(pin));
  const value = (pattern: number): boolean =>
    evaluateExpression(expression, (pin) => {
      const at = open.indexOf(pin);
      return at >= 0 ? ((pattern >> at) & 1) === 1 : (held.get(pin) ?? levelOf(pin) ?? false);
    });
  return open.filter((_, k) => {
    for (let pattern = 0; pattern < 2 ** open.length; pattern += 1)
      if (((pattern >> k) & 1) === 0 && value(pattern) !== value(pattern | (1 << k))) return true;
    return false;
  });
}
