import type { ProblemPlace } from "../../base/problem.js";
import type { DraftComponent, DraftNet, DraftNode } from "./netlist-draft.js";
import { type ProblemList, quoted } from "./problem-list.js";

/** Gathers the components and nets of one file, and keeps each reference and each pin single. */
export interface DraftBuilder {
  /** False, with an error, if there is a component of that reference. */
  component(component: DraftComponent, where: ProblemPlace): boolean;
  /** True if there is a component of that reference. */
  has(ref: string): boolean;
  /** Puts a pin on a net. A pin that is on that net already is passed over; on another net it is an error. */
  pin(net: string, node: DraftNode, where: ProblemPlace): void;
  components(): DraftComponent[];
  /** In the order in which they were first named. */
  nets(): DraftNet[];
}

/** An empty builder. Codes: `duplicate-ref`, `pin-on-two-nets`. */
export function createDraftBuilder(problems: ProblemList): DraftBuilder {
  const components = new Map<string, DraftComponent>();
  const nets = new Map<string, { nodes: DraftNode[]; line: number }>();
  const netOfPin = new Map<string, Map<string, string>>();
  return {
    component(component, where) {
      const first = components.get(component.ref);
      if (first === undefined) {
        components.set(component.ref, component);
        return true;
      }
      problems.error(
        "duplicate-ref",
        `A second component is called ${quoted(component.ref)}; the one in line ${first.line} was kept.`,
        where,
        "Number the parts anew where the file came from, and export it again.",
      );
      return false;
    },
    has: (ref) => components.has(ref),
    pin(name, node, where) {
      let pins = netOfPin.get(node.ref);
      if (pins === undefined) {
        pins = new Map();
        netOfPin.set(node.ref, pins);
      }
      const before = pins.get(node.pin);
      if (before === name) return;
      if (before !== undefined) {
        problems.error(
          "pin-on-two-nets",
          `Pin ${quoted(`${node.ref}.${node.pin}`)} is on net ${quoted(before)} and on net ${quoted(name)}; the first was kept.`,
          where,
          "Two nets on one pin are one net; look at this pin in the drawing.",
        );
        return;
      }
      pins.set(node.pin, name);
      const net = nets.get(name);
      if (net === undefined) nets.set(name, { nodes: [node], line: node.line });
      else net.nodes.push(node);
    },
    components: () => [...components.values()],
    nets: () => [...nets].map(([name, net]) => ({ name, nodes: net.nodes, line: net.line })),
  };
}
