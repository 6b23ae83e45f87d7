import type { Expression } from "../expression.js";
import type { BusTarget } from "./bus-targets.js";
import { netOfPin, pinNumber, type TypedPart } from "./net-levels.js";
import type { Wish } from "./solve-levels.js";

/** Net of the pin a part's type calls `name`; undefined if the pin is open or there is no such part. */
export function pinNet(typed: TypedPart | undefined, name: string): string | undefined {
  if (typed === undefined) return undefined;
  const number = pinNumber(typed.type, name);
  return number === undefined ? undefined : netOfPin(typed.part, number);
}

/** Conditions under which a part does not do its usual work. */
export function disturbances({ type }: TypedPart): Expression[] {
  const { behaviour } = type;
  if (behaviour.kind === "peripheral") return behaviour.reset === undefined ? [] : [behaviour.reset];
  if (behaviour.kind !== "processor") return [];
  return [behaviour.reset, ...behaviour.holds, ...behaviour.interrupts].map(({ pin, active }) =>
    active === "low" ? (["not", pin] as const) : pin,
  );
}

/** True if the two put data on one net. */
export function sharesNet(a: BusTarget, b: BusTarget): boolean {
  for (const net of a.dataNets) if (b.dataNets.has(net)) return true;
  return false;
}

/** That an expression of the target comes to a value; nothing if it has no such expression. */
export function wish(target: BusTarget, expression: Expression | undefined, wanted: 0 | 1): Wish[] {
  const typed = target.chips[0]?.typed;
  return typed === undefined || expression === undefined ? [] : [{ typed, expression, wanted }];
}

/** That the target does not answer, and takes nothing either if `alsoWrite` is true. */
export function quietWishes(target: BusTarget, alsoWrite: boolean): Wish[] {
  return [...wish(target, target.read, 0), ...(alsoWrite ? wish(target, target.write, 0) : [])];
}
