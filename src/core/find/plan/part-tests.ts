import { railLook } from "../evidence/look.js";
import {
  continuityLook,
  deviceLook,
  piggybackLook,
  removalLook,
  testerLook,
} from "../evidence/looks-passive.js";
import type { LiveHypothesis } from "./problem.js";
import type { Has, TestList } from "./test-list.js";

/** Readings on one suspect: heat, looks, supply at its own pins, shorts and breaks at its lines. */
export function addPart(
  tests: TestList,
  part: number,
  live: readonly LiveHypothesis[],
  has: Has,
  powerAllowed: boolean,
): void {
  const { wiring } = tests.space.circuit;
  const found = wiring.parts[part];
  if (found === undefined) return;
  const { ref, socketed } = found.part;
  const integrated =
    found.pins.length >= 6 && found.type.family !== "connector" && found.type.family !== "keyboard";
  if (powerAllowed && integrated && found.pins.length <= 28) {
    tests.add({
      id: `piggyback:${ref}`,
      kind: "piggyback",
      at: ref,
      with: "none",
      powered: true,
      look: piggybackLook(tests.space, part),
      needsSpare: found.type.type,
      instruction: `Press a good ${found.type.type} on top of ${ref}, power off while fitting, and try.`,
    });
  }
  if (has("chip-tester") && socketed === true) {
    tests.add({
      id: `tester:${ref}`,
      kind: "chip-tester-socketed",
      at: ref,
      with: "chip-tester",
      powered: false,
      look: testerLook(tests.space, part),
      instruction: `Take ${ref} out and try it in the chip tester.`,
    });
  }
  if (has("multimeter") && found.pins.length === 2) {
    tests.add({
      id: `device:${ref}`,
      kind: "device",
      at: ref,
      with: "multimeter",
      powered: false,
      look: deviceLook(tests.space, part, false),
      instruction: `With the power off, measure ${ref} for open and short, in the circuit.`,
    });
    tests.add({
      id: `lifted-part:${ref}`,
      kind: "lifted-part",
      at: ref,
      with: "multimeter",
      powered: false,
      look: deviceLook(tests.space, part, true),
      instruction: `With the power off, lift one leg of ${ref} and measure it alone for open and short.`,
    });
  }
  addCuts(tests, part, live, has, powerAllowed);
  if (powerAllowed && has("logic-probe")) addRemoval(tests, part, live);
}

/** For suspects at single pins: supply at the leg, continuity past the joint, shorts to ground. */
function addCuts(
  tests: TestList,
  part: number,
  live: readonly LiveHypothesis[],
  has: Has,
  powerAllowed: boolean,
): void {
  if (!has("multimeter")) return;
  const { wiring } = tests.space.circuit;
  const seen = new Set<string>();
  for (const one of live) {
    for (const fault of one.faults) {
      if (fault.part !== part || seen.size > 24) continue;
      const { cutPin, bridged, shortedNet } = fault.signs;
      if (cutPin !== undefined) {
        const label = tests.points.label(cutPin);
        if (seen.has(label)) continue;
        seen.add(label);
        const pin = wiring.pins[cutPin];
        if (pin?.kind === "power" && powerAllowed) {
          tests.add({
            id: `rail-at:${label}`,
            kind: "rail-at-pin",
            at: label,
            with: "multimeter",
            powered: true,
            look: railLook(tests.space, "rail-meter", pin.net, cutPin),
            instruction: `Measure the supply at the leg ${label} itself.`,
          });
        }
        const other = tests.points.otherPin(cutPin);
        if (other !== undefined) {
          const at = `${label}-${tests.points.label(other)}`;
          tests.add({
            id: `continuity:${at}`,
            kind: "continuity",
            at: at,
            with: "multimeter",
            powered: false,
            look: continuityLook(tests.space, cutPin, other),
            instruction: `With the power off, does the leg ${label} ring to ${tests.points.label(other)}?`,
          });
        }
      }
      if (bridged !== undefined && fault.site === "bridge") {
        const [a, b] = fault.detail.split("-");
        const first = wiring.pinIndex.get(`${wiring.parts[part]?.part.ref}.${a}`);
        const second = wiring.pinIndex.get(`${wiring.parts[part]?.part.ref}.${b}`);
        if (first === undefined || second === undefined) continue;
        const at = `${tests.points.label(first)}-${tests.points.label(second)}`;
        if (seen.has(at)) continue;
        seen.add(at);
        tests.add({
          id: `continuity:${at}`,
          kind: "continuity",
          at: at,
          with: "multimeter",
          powered: false,
          look: continuityLook(tests.space, first, second),
          instruction: `With the power off, do ${at} ring together? They should not.`,
        });
      } else if (shortedNet !== undefined && wiring.netDuty[shortedNet] === 0) {
        const name = wiring.nets[shortedNet] ?? "?";
        if (seen.has(name)) continue;
        seen.add(name);
        tests.addShort(
          shortedNet,
          `With the power off, measure line ${name} to ground at ${tests.points.best(shortedNet)?.place ?? name}.`,
        );
      }
    }
  }
}

/** A line held by one of several parts on it: pulling a socketed one, or lifting a leg, frees it. */
function addRemoval(tests: TestList, part: number, live: readonly LiveHypothesis[]): void {
  const { wiring } = tests.space.circuit;
  const found = wiring.parts[part];
  if (found === undefined) return;
  const nets = new Set<number>();
  for (const one of live) {
    for (const fault of one.faults) {
      if (fault.part === part && fault.site === "part" && fault.signs.shortedNet !== undefined)
        nets.add(fault.signs.shortedNet);
    }
  }
  for (const net of [...nets].slice(0, 4)) {
    if (wiring.netDuty[net] !== 0) continue;
    const name = wiring.nets[net] ?? "?";
    const { ref } = found.part;
    if (found.part.socketed === true) {
      tests.add({
        id: `removal:${ref}:${name}`,
        kind: "removal",
        at: `${ref} ${name}`,
        with: "logic-probe",
        powered: true,
        look: removalLook(tests.space, part, -1, net),
        instruction: `Power off, take ${ref} out, power on: is line ${name} free now?`,
      });
    } else {
      const pin = found.pins.find((p) => wiring.pins[p]?.net === net);
      if (pin === undefined) continue;
      tests.add({
        id: `lifted:${tests.points.label(pin)}`,
        kind: "lifted-leg",
        at: `${tests.points.label(pin)} ${name}`,
        with: "logic-probe",
        powered: true,
        look: removalLook(tests.space, part, pin, net),
        instruction: `Power off, lift leg ${tests.points.label(pin)}, power on: is line ${name} free now?`,
      });
    }
  }
}
