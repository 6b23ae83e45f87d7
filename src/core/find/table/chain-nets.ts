import type { Wiring } from "../settle/circuit.js";
import type { Engine } from "../settle/engine.js";

/** True for a net that a shift register puts out. */
export function isShiftedOut({ wiring, drivers, driversOfNet }: Engine, net: number): boolean {
  return (driversOfNet[net] ?? []).some((driver) => {
    const { part = -1, pin = -1 } = drivers[driver] ?? {};
    const behaviour = wiring.parts[part]?.type.behaviour;
    const name = wiring.pins[pin]?.name;
    const registers = behaviour?.kind === "logic" ? (behaviour.registers ?? []) : [];
    return registers.some(
      (register) => register.kind === "shift" && register.outputs.some((output) => output.pin === name),
    );
  });
}

/** Signal nets that a chip of the serial section drives and nothing else does. */
export function serialNets({ wiring, drivers, driversOfNet }: Engine): number[] {
  return wiring.nets.flatMap((_, net) => {
    const [only, ...others] = driversOfNet[net] ?? [];
    const part = wiring.parts[drivers[only ?? -1]?.part ?? -1];
    const own = wiring.netDuty[net] === 0 && others.length === 0 && part?.part.section === "serial";
    return own ? [net] : [];
  });
}

/** Nets at connectors, without ground; of a board without connectors, all nets. */
export function outsideNets(wiring: Wiring): string[] {
  const atConnector = wiring.nets.filter((_, net) =>
    (wiring.netPins[net] ?? []).some((pin) => {
      const part = wiring.parts[wiring.pins[pin]?.part ?? -1];
      return part?.type.family === "connector";
    }),
  );
  const nets = atConnector.length > 0 ? atConnector : wiring.nets;
  return nets.filter((name) => name !== wiring.board.ground);
}

/** The phases of these ids, as a bit set. */
export function phasesNamed(wiring: Wiring, ids: readonly string[]): number {
  let phases = 0;
  for (const [k, phase] of wiring.board.phases.entries()) if (ids.includes(phase.id)) phases |= 1 << k;
  return phases;
}
