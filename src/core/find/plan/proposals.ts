import type { Instrument } from "../case/case.js";
import { freeInstruments } from "../case/case.js";
import { comparisonLook, type Look, levelLook, machineLook, railLook } from "../evidence/look.js";
import {
  continuityLook,
  currentLook,
  deviceLook,
  otherSupplyLook,
  piggybackLook,
  provocationLook,
  removalLook,
  shortLook,
  testerLook,
} from "../evidence/looks-passive.js";
import { dropLook, heatSweepLook, visualSweepLook } from "../evidence/looks-sweep.js";
import type { FaultSpace } from "../reason/space.js";
import { machineObservables } from "../table/chain.js";
import type { FindCosts, TestKind } from "./costs.js";
import { ProbePoints } from "./probe-points.js";
import type { LiveHypothesis } from "./problem.js";

/** A reading that could be taken next. */
export interface TestProposal {
  readonly id: string;
  readonly kind: TestKind;
  /** As a log entry would name the place; empty for the machine as a whole. */
  readonly at: string;
  readonly with: Instrument | "none";
  readonly minutes: number;
  readonly powered: boolean;
  readonly look: Look;
  /** What to do, in plain words. */
  readonly instruction: string;
}

/** What the plan may propose. */
export interface ProposalLimits {
  readonly instruments: readonly Instrument[];
  readonly powerAllowed: boolean;
  /** Machine observables already reported since the last change; asking again tells nothing. */
  readonly reported: ReadonlySet<string>;
  /** Ids of readings taken since the last change. */
  readonly taken: ReadonlySet<string>;
  /** Parts looked into one by one, likeliest first. */
  readonly suspects: readonly number[];
  /** Clock-like nets whose rate an oscilloscope can check. */
  readonly rateKnown: (net: number) => boolean;
}

/** All readings that could tell the live hypotheses apart with what the user owns and may do now. */
export function listTests(
  space: FaultSpace,
  live: readonly LiveHypothesis[],
  costs: FindCosts,
  limits: ProposalLimits,
): TestProposal[] {
  const has = (instrument: Instrument): boolean =>
    limits.instruments.includes(instrument) || freeInstruments.includes(instrument);
  const lister = new TestLister(space, costs, limits.taken);
  if (limits.powerAllowed) {
    lister.addMachine(limits.reported);
    lister.addNets(live, has, limits.rateKnown);
    lister.addRails(live, has);
    if (has("multimeter") || has("bench-supply")) {
      lister.add(
        "current",
        "current",
        "supply",
        has("multimeter") ? "multimeter" : "bench-supply",
        true,
        currentLook(space),
        "Measure the current drawn from the supply.",
      );
    }
    lister.add(
      "flexed",
      "flexed",
      "",
      "none",
      true,
      provocationLook(space, "flexed", -1),
      "Press and flex the board gently, off the mains side, and watch for a change.",
    );
    lister.add(
      "warmed",
      "warmed",
      "",
      "none",
      true,
      provocationLook(space, "warmed", -1),
      "Let the machine warm up for ten minutes and look again.",
    );
    if (has("bench-supply")) {
      lister.add(
        "other-supply",
        "other-supply",
        "",
        "bench-supply",
        true,
        otherSupplyLook(space),
        "Run the machine from another supply.",
      );
    }
  }
  lister.addSweeps(live, has, limits.powerAllowed);
  for (const part of limits.suspects) lister.addPart(part, live, has, limits.powerAllowed);
  return lister.list;
}

class TestLister {
  readonly list: TestProposal[] = [];
  private readonly space: FaultSpace;
  private readonly costs: FindCosts;
  private readonly taken: ReadonlySet<string>;
  private readonly points: ProbePoints;

  constructor(space: FaultSpace, costs: FindCosts, taken: ReadonlySet<string>) {
    this.space = space;
    this.costs = costs;
    this.taken = taken;
    this.points = new ProbePoints(space.circuit.wiring);
  }

  add(
    id: string,
    kind: TestKind,
    at: string,
    instrument: Instrument | "none",
    powered: boolean,
    look: Look,
    instruction: string,
  ): void {
    if (this.taken.has(id)) return;
    const minutes = this.costs.tests[kind] + (powered ? 0 : this.costs.switchOff);
    this.list.push({ id, kind, at, with: instrument, minutes, powered, look, instruction });
  }

  addMachine(reported: ReadonlySet<string>): void {
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
      const look = machineLook(this.space, observable);
      if (look !== undefined)
        this.add(
          `symptom:${observable}`,
          observable === "tape" ? "tape-try" : "symptom",
          observable,
          "none",
          true,
          look,
          instruction,
        );
    }
  }

  /** Every signal net whose predicted value differs between live hypotheses. */
  addNets(
    live: readonly LiveHypothesis[],
    has: (i: Instrument) => boolean,
    rateKnown: (net: number) => boolean,
  ): void {
    const { netDuty, nets } = this.space.circuit.wiring;
    for (let net = 0; net < nets.length; net += 1) {
      if (netDuty[net] !== 0 || !this.differs(live, net)) continue;
      const pin = this.points.best(net);
      if (pin === undefined) continue;
      if (has("logic-probe")) {
        const look = levelLook(this.space, "logic-probe", net, pin.pin, false);
        this.add(
          `logic-probe:${nets[net]}`,
          "logic-probe",
          pin.label,
          "logic-probe",
          true,
          look,
          `Touch ${pin.place} with the logic probe (line ${nets[net]}).`,
        );
      }
      if (has("oscilloscope")) {
        const look = levelLook(this.space, "oscilloscope", net, pin.pin, rateKnown(net));
        this.add(
          `oscilloscope:${nets[net]}`,
          "oscilloscope",
          pin.label,
          "oscilloscope",
          true,
          look,
          `Look at ${pin.place} with the oscilloscope (line ${nets[net]}).`,
        );
      }
      if (!has("logic-probe") && !has("oscilloscope") && has("multimeter")) {
        const look = levelLook(this.space, "multimeter", net, pin.pin, false);
        this.add(
          `multimeter:${nets[net]}`,
          "multimeter",
          pin.label,
          "multimeter",
          true,
          look,
          `Measure the voltage at ${pin.place} (line ${nets[net]}).`,
        );
      }
      if (has("twin")) {
        this.add(
          `twin:${nets[net]}`,
          "comparison",
          pin.label,
          "twin",
          true,
          comparisonLook(this.space, net, pin.pin),
          `Compare ${pin.place} with the same pin of the good machine.`,
        );
      }
    }
  }

  /** Going over the whole board at once: by eye, by finger, and along a shorted rail. */
  addSweeps(live: readonly LiveHypothesis[], has: (i: Instrument) => boolean, powerAllowed: boolean): void {
    this.add(
      "visual-sweep",
      "visual-sweep",
      "board",
      "eye",
      false,
      visualSweepLook(this.space),
      "With the power off, go over the whole board with a lamp and a magnifier: cracked joints, bridges, green legs, swollen or burnt parts.",
    );
    if (!powerAllowed) return;
    this.add(
      "heat-sweep",
      "heat-sweep",
      "board",
      "finger",
      true,
      heatSweepLook(this.space),
      "After a minute under power, feel all chips and regulators in turn, away from mains parts: which one is hotter than its like?",
    );
    if (!has("multimeter")) return;
    const { netDuty, nets } = this.space.circuit.wiring;
    const shorted = new Set(live.flatMap((one) => one.faults.map((fault) => fault.signs.shortedNet ?? -1)));
    for (const net of shorted) {
      if (net < 0 || netDuty[net] !== 1) continue;
      const name = nets[net] ?? "?";
      this.add(
        `rail-drop:${name}`,
        "rail-drop",
        `rail:${name}`,
        "multimeter",
        true,
        dropLook(this.space, net),
        `Feed rail ${name} with a limited current and follow the millivolts along it: in which region of the board (component side up, keyboard edge in front) is it lowest?`,
      );
    }
  }

  private differs(live: readonly LiveHypothesis[], net: number): boolean {
    const first = live[0]?.view;
    const value = first === undefined ? 0 : first.nets[first.netBase + net];
    return live.some((one) => one.view.nets[one.view.netBase + net] !== value);
  }

  addRails(live: readonly LiveHypothesis[], has: (i: Instrument) => boolean): void {
    const { netDuty, nets } = this.space.circuit.wiring;
    for (let net = 0; net < nets.length; net += 1) {
      if (netDuty[net] !== 1 || !this.differs(live, net)) continue;
      const name = nets[net] ?? "?";
      const pin = this.points.best(net);
      const place = pin === undefined ? `rail ${name}` : `rail ${name}, for example at ${pin.place}`;
      if (has("multimeter")) {
        this.add(
          `rail:${name}`,
          "rail",
          `rail:${name}`,
          "multimeter",
          true,
          railLook(this.space, "rail-meter", net, -1),
          `Measure ${place}.`,
        );
        this.add(
          `short:${name}`,
          "resistance",
          `net:${name}`,
          "multimeter",
          false,
          shortLook(this.space, net),
          `With the power off and the supply unplugged, measure ${place} to ground.`,
        );
      }
      if (has("oscilloscope")) {
        this.add(
          `ripple:${name}`,
          "ripple",
          `rail:${name}`,
          "oscilloscope",
          true,
          railLook(this.space, "ripple-meter", net, -1),
          `Look at the ripple on ${place}.`,
        );
      }
    }
  }

  /** Readings on one suspect: heat, looks, supply at its own pins, shorts and breaks at its lines. */
  addPart(
    part: number,
    live: readonly LiveHypothesis[],
    has: (i: Instrument) => boolean,
    powerAllowed: boolean,
  ): void {
    const { wiring } = this.space.circuit;
    const found = wiring.parts[part];
    if (found === undefined) return;
    const { ref, socketed } = found.part;
    const integrated =
      found.pins.length >= 6 && found.type.family !== "connector" && found.type.family !== "keyboard";
    if (powerAllowed && integrated && found.pins.length <= 28) {
      this.add(
        `piggyback:${ref}`,
        "piggyback",
        ref,
        "none",
        true,
        piggybackLook(this.space, part),
        `Press a good ${found.type.type} on top of ${ref}, power off while fitting, and try.`,
      );
    }
    if (has("chip-tester") && socketed === true) {
      this.add(
        `tester:${ref}`,
        "chip-tester-socketed",
        ref,
        "chip-tester",
        false,
        testerLook(this.space, part),
        `Take ${ref} out and try it in the chip tester.`,
      );
    }
    if (has("multimeter") && found.pins.length === 2) {
      this.add(
        `device:${ref}`,
        "device",
        ref,
        "multimeter",
        false,
        deviceLook(this.space, part, false),
        `With the power off, measure ${ref} for open and short, in the circuit.`,
      );
      this.add(
        `lifted-part:${ref}`,
        "lifted-part",
        ref,
        "multimeter",
        false,
        deviceLook(this.space, part, true),
        `With the power off, lift one leg of ${ref} and measure it alone for open and short.`,
      );
    }
    this.addCuts(part, live, has, powerAllowed);
    if (powerAllowed && has("logic-probe")) this.addRemoval(part, live);
  }

  /** For suspects at single pins: supply at the leg, continuity past the joint, shorts to ground. */
  private addCuts(
    part: number,
    live: readonly LiveHypothesis[],
    has: (i: Instrument) => boolean,
    powerAllowed: boolean,
  ): void {
    if (!has("multimeter")) return;
    const { wiring } = this.space.circuit;
    const seen = new Set<string>();
    for (const one of live) {
      for (const fault of one.faults) {
        if (fault.part !== part || seen.size > 24) continue;
        const { cutPin, bridged, shortedNet } = fault.signs;
        if (cutPin !== undefined) {
          const label = this.points.label(cutPin);
          if (seen.has(label)) continue;
          seen.add(label);
          const pin = wiring.pins[cutPin];
          if (pin?.kind === "power" && powerAllowed) {
            this.add(
              `rail-at:${label}`,
              "rail-at-pin",
              label,
              "multimeter",
              true,
              railLook(this.space, "rail-meter", pin.net, cutPin),
              `Measure the supply at the leg ${label} itself.`,
            );
          }
          const other = this.points.otherPin(cutPin);
          if (other !== undefined) {
            const at = `${label}-${this.points.label(other)}`;
            this.add(
              `continuity:${at}`,
              "continuity",
              at,
              "multimeter",
              false,
              continuityLook(this.space, cutPin, other),
              `With the power off, does the leg ${label} ring to ${this.points.label(other)}?`,
            );
          }
        }
        if (bridged !== undefined && fault.site === "bridge") {
          const [a, b] = fault.detail.split("-");
          const first = wiring.pinIndex.get(`${wiring.parts[part]?.part.ref}.${a}`);
          const second = wiring.pinIndex.get(`${wiring.parts[part]?.part.ref}.${b}`);
          if (first === undefined || second === undefined) continue;
          const at = `${this.points.label(first)}-${this.points.label(second)}`;
          if (seen.has(at)) continue;
          seen.add(at);
          this.add(
            `continuity:${at}`,
            "continuity",
            at,
            "multimeter",
            false,
            continuityLook(this.space, first, second),
            `With the power off, do ${at} ring together? They should not.`,
          );
        } else if (shortedNet !== undefined && wiring.netDuty[shortedNet] === 0) {
          const name = wiring.nets[shortedNet] ?? "?";
          if (seen.has(name)) continue;
          seen.add(name);
          this.add(
            `short:${name}`,
            "resistance",
            `net:${name}`,
            "multimeter",
            false,
            shortLook(this.space, shortedNet),
            `With the power off, measure line ${name} to ground at ${this.points.best(shortedNet)?.place ?? name}.`,
          );
        }
      }
    }
  }

  /** A line held by one of several parts on it: pulling a socketed one, or lifting a leg, frees it. */
  private addRemoval(part: number, live: readonly LiveHypothesis[]): void {
    const { wiring } = this.space.circuit;
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
        this.add(
          `removal:${ref}:${name}`,
          "removal",
          `${ref} ${name}`,
          "logic-probe",
          true,
          removalLook(this.space, part, -1, net),
          `Power off, take ${ref} out, power on: is line ${name} free now?`,
        );
      } else {
        const pin = found.pins.find((p) => wiring.pins[p]?.net === net);
        if (pin === undefined) continue;
        this.add(
          `lifted:${this.points.label(pin)}`,
          "lifted-leg",
          `${this.points.label(pin)} ${name}`,
          "logic-probe",
          true,
          removalLook(this.space, part, pin, net),
          `Power off, lift leg ${this.points.label(pin)}, power on: is line ${name} free now?`,
        );
      }
    }
  }
}
