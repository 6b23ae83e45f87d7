import { comparisonLook, levelLook, machineLook, railLook } from "../evidence/look.js";
import { selfTestLook } from "../evidence/looks-memory.js";
import { neighboursJoined, neighboursLook } from "../evidence/looks-passive.js";
import { dropLook, heatSweepLook, visualSweepLook } from "../evidence/looks-sweep.js";
import type { CircuitPart } from "../settle/circuit.js";
import { machineObservables } from "../table/chain.js";
import type { LiveHypothesis } from "./problem.js";
import type { Has, TestList } from "./test-list.js";

/** What the machine as a whole does, as far as it has not been reported. */
export function addMachine(tests: TestList, reported: ReadonlySet<string>): void {
  const what: Readonly<Record<string, string>> = {
    picture: "Look at the picture: what does it show?",
    sound: "Listen at start-up: does it beep?",
    keys: "Press keys all over the keyboard: do they work?",
    reaction: "Type a command blind: does anything react?",
    "memory-figure": "Read the memory figure of the start message.",
    tape: "Try to load a known good tape.",
    lamp: "Does the power lamp light?",
  };
  for (const observable of machineObservables) {
    const instruction = what[observable];
    if (instruction === undefined || reported.has(observable)) continue;
    const look = machineLook(tests.space, observable);
    if (look !== undefined)
      tests.add({
        id: `symptom:${observable}`,
        kind: observable === "tape" ? "tape-try" : "symptom",
        at: observable,
        with: "none",
        powered: true,
        look,
        instruction,
      });
  }
}

/** Every signal net whose predicted value differs between live hypotheses. */
export function addNets(
  tests: TestList,
  live: readonly LiveHypothesis[],
  has: Has,
  rateKnown: (net: number) => boolean,
): void {
  const { netDuty, nets } = tests.space.circuit.wiring;
  for (let net = 0; net < nets.length; net += 1) {
    if (netDuty[net] !== 0 || !differs(live, net)) continue;
    const pin = tests.points.best(net);
    if (pin === undefined) continue;
    if (has("logic-probe")) {
      const look = levelLook(tests.space, "logic-probe", net, pin.pin, false);
      tests.add({
        id: `logic-probe:${nets[net]}`,
        kind: "logic-probe",
        at: pin.label,
        with: "logic-probe",
        powered: true,
        look,
        instruction: `Touch ${pin.place} with the logic probe (line ${nets[net]}).`,
      });
    }
    if (has("oscilloscope")) {
      const look = levelLook(tests.space, "oscilloscope", net, pin.pin, rateKnown(net));
      tests.add({
        id: `oscilloscope:${nets[net]}`,
        kind: "oscilloscope",
        at: pin.label,
        with: "oscilloscope",
        powered: true,
        look,
        instruction: `Look at ${pin.place} with the oscilloscope (line ${nets[net]}).`,
      });
    }
    if (!has("logic-probe") && !has("oscilloscope") && has("multimeter")) {
      const look = levelLook(tests.space, "multimeter", net, pin.pin, false);
      tests.add({
        id: `multimeter:${nets[net]}`,
        kind: "multimeter",
        at: pin.label,
        with: "multimeter",
        powered: true,
        look,
        instruction: `Measure the voltage at ${pin.place} (line ${nets[net]}).`,
      });
    }
    if (has("twin")) {
      tests.add({
        id: `twin:${nets[net]}`,
        kind: "comparison",
        at: pin.label,
        with: "twin",
        powered: true,
        look: comparisonLook(tests.space, net, pin.pin),
        instruction: `Compare ${pin.place} with the same pin of the good machine.`,
      });
    }
  }
}

/** Every supply net whose predicted value differs: voltage, resistance, ripple, by all that can read it. */
export function addRails(tests: TestList, live: readonly LiveHypothesis[], has: Has): void {
  const { netDuty, nets } = tests.space.circuit.wiring;
  for (let net = 0; net < nets.length; net += 1) {
    if (netDuty[net] !== 1 || !differs(live, net)) continue;
    const name = nets[net] ?? "?";
    const pin = tests.points.best(net);
    const place = pin === undefined ? `rail ${name}` : `rail ${name}, for example at ${pin.place}`;
    if (has("multimeter")) {
      tests.add({
        id: `rail:${name}`,
        kind: "rail",
        at: `rail:${name}`,
        with: "multimeter",
        powered: true,
        look: railLook(tests.space, "rail-meter", net, -1),
        instruction: `Measure ${place}.`,
      });
      tests.addShort(net, `With the power off and the supply unplugged, measure ${place} to ground.`);
    }
    for (const instrument of ["logic-probe", "oscilloscope"] as const) {
      if (!has(instrument)) continue;
      tests.add({
        id: `${instrument}:${name}`,
        kind: instrument,
        at: `rail:${name}`,
        with: instrument,
        powered: true,
        look: levelLook(tests.space, instrument, net, -1, false),
        instruction: `Look at ${place} with the ${instrument === "oscilloscope" ? instrument : "logic probe"}: is the rail there?`,
      });
    }
    if (has("oscilloscope")) {
      tests.add({
        id: `ripple:${name}`,
        kind: "ripple",
        at: `rail:${name}`,
        with: "oscilloscope",
        powered: true,
        look: railLook(tests.space, "ripple-meter", net, -1),
        instruction: `Look at the ripple on ${place}.`,
      });
    }
  }
}

/** A self-test burnt into a chip that takes the place of the start-up ROM. */
export function addSelfTest(tests: TestList): void {
  const look = selfTestLook(tests.space);
  if (look === undefined) return;
  tests.add({
    id: "self-test",
    kind: "self-test",
    at: "memory",
    with: "chip-programmer",
    powered: true,
    look,
    instruction:
      "Build the self-test for this board, burn it into a chip that fits the start-up ROM's socket, fit it with the power off, and read its beacon with the sheet beside you.",
  });
}

/** Going over the whole board at once: by eye, by finger, and along a shorted rail. */
export function addSweeps(
  tests: TestList,
  live: readonly LiveHypothesis[],
  has: Has,
  powerAllowed: boolean,
): void {
  tests.add({
    id: "visual-sweep",
    kind: "visual-sweep",
    at: "board",
    with: "eye",
    powered: false,
    look: visualSweepLook(tests.space),
    instruction:
      "With the power off, go over the whole board with a lamp and a magnifier: cracked joints, bridges, green legs, swollen or burnt parts.",
  });
  if (has("multimeter")) addNeighbours(tests, live);
  if (!powerAllowed) return;
  tests.add({
    id: "heat-sweep",
    kind: "heat-sweep",
    at: "board",
    with: "finger",
    powered: true,
    look: heatSweepLook(tests.space),
    instruction:
      "After a minute under power, feel all chips and regulators in turn, away from mains parts: which one is hotter than its like?",
  });
  if (!has("multimeter")) return;
  const { netDuty, nets } = tests.space.circuit.wiring;
  const shorted = new Set(live.flatMap((one) => one.faults.map((fault) => fault.signs.shortedNet ?? -1)));
  for (const net of shorted) {
    if (net < 0 || netDuty[net] !== 1) continue;
    const name = nets[net] ?? "?";
    tests.add({
      id: `rail-drop:${name}`,
      kind: "rail-drop",
      at: `rail:${name}`,
      with: "multimeter",
      powered: true,
      look: dropLook(tests.space, net),
      instruction: `Feed rail ${name} with a limited current and follow the millivolts along it from part to part: at which part is it lowest?`,
    });
  }
}

// Parts gone over pin by pin: beyond the likeliest few a sweep of each is a search without a clue.
const mostNeighbourSweeps = 6;

/**
 * Neighbouring pins of a few parts: each time the part at which most of what may be bridged, and does not ring at those
 * already taken, would ring for each pin tried.
 */
function addNeighbours(tests: TestList, live: readonly LiveHypothesis[]): void {
  const { space } = tests;
  const bridges = live.flatMap(({ faults, weight }) =>
    faults.filter((fault) => fault.signs.bridged !== undefined).map((fault) => ({ fault, weight })),
  );
  const sweeps = space.circuit.wiring.parts.flatMap((part) => {
    if (part.type.pins === "as-board" || part.pins.length < 6) return [];
    const joins = neighboursJoined(space, part.index);
    const shown = new Set(bridges.filter(({ fault }) => joins(fault)));
    return shown.size === 0 ? [] : [{ part, shown }];
  });
  for (let chosen = 0; chosen < mostNeighbourSweeps; chosen += 1) {
    const worth = ({ part, shown }: (typeof sweeps)[number]): number =>
      [...shown].reduce((sum, { weight }) => sum + weight, 0) / part.pins.length;
    const best = sweeps.toSorted((a, b) => worth(b) - worth(a))[0];
    if (best === undefined || worth(best) === 0) return;
    addNeighbourSweep(tests, best.part);
    const rung = [...best.shown];
    for (const { shown } of sweeps) for (const one of rung) shown.delete(one);
  }
}

function addNeighbourSweep(tests: TestList, { index, part: { ref } }: CircuitPart): void {
  tests.add({
    id: `neighbours:${ref}`,
    kind: "neighbours",
    at: `${ref} neighbours`,
    with: "multimeter",
    powered: false,
    look: neighboursLook(tests.space, index),
    instruction: `With the power off, try each pin of ${ref} against the one beside it: does any pair ring?`,
  });
}

function differs(live: readonly LiveHypothesis[], net: number): boolean {
  const first = live[0]?.view;
  const value = first === undefined ? 0 : first.nets[first.netBase + net];
  return live.some((one) => one.view.nets[one.view.netBase + net] !== value);
}
