import type { Driver, Wiring } from "./circuit.js";
import { orderFromInputs } from "./order.js";

/** What something that computes drivers from pins hears of. */
export interface Listener {
  /** Pins it reads. */
  readonly inputs: readonly number[];
  /** Nets it follows without a pin of its own kind: what passive and supply parts pass on. */
  readonly follows?: readonly number[];
  /** Those of its inputs that it reads only while it is written to. */
  readonly dataPins?: readonly number[];
  /** Supply pins. */
  readonly supplies: readonly number[];
  /** Drivers it computes. */
  readonly drivers: readonly number[];
}

/** For each net who hears of it by any but a data pin. */
export function listenersByNet(wiring: Wiring, listeners: readonly Listener[]): Set<number>[] {
  return gather(wiring, listeners, ({ inputs, dataPins = [], supplies, follows = [] }) => [
    ...netsOf(
      wiring,
      [...inputs, ...supplies].filter((pin) => !dataPins.includes(pin)),
    ),
    ...follows,
  ]);
}

/** For each net who takes data from it. */
export function dataListenersByNet(wiring: Wiring, listeners: readonly Listener[]): Set<number>[] {
  return gather(wiring, listeners, ({ dataPins = [] }) => netsOf(wiring, dataPins));
}

function gather(
  wiring: Wiring,
  listeners: readonly Listener[],
  heard: (listener: Listener) => readonly number[],
): Set<number>[] {
  const byNet: Set<number>[] = wiring.nets.map(() => new Set<number>());
  for (const [i, listener] of listeners.entries()) for (const net of heard(listener)) byNet[net]?.add(i);
  return byNet;
}

function netsOf(wiring: Wiring, pins: readonly number[]): number[] {
  return pins.map((pin) => wiring.pins[pin]?.net ?? -1).filter((net) => net >= 0);
}

/** The listeners from inputs to outputs, as far as they do not run in circles. */
export function inOrder<T extends Listener>(
  wiring: Wiring,
  listeners: readonly T[],
  drivers: readonly Driver[],
): T[] {
  const usual = listenersByNet(wiring, listeners);
  const data = dataListenersByNet(wiring, listeners);
  const feeds = listeners.map((listener) => {
    const next = new Set<number>();
    for (const driver of listener.drivers) {
      const net = drivers[driver]?.net ?? -1;
      for (const i of [...(usual[net] ?? []), ...(data[net] ?? [])]) next.add(i);
    }
    return [...next];
  });
  return orderFromInputs(feeds).flatMap((i) => listeners[i] ?? []);
}
