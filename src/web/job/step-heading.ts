import type { Findings, StepView } from "../../app/api/findings.js";

type PlannedStep = Findings["result"]["next"][number];

const verbs: Readonly<Record<string, string>> = {
  "logic-probe": "Touch",
  oscilloscope: "Watch",
  rail: "Measure",
  "rail-at": "Measure",
  multimeter: "Measure",
};

/**
 * What a step card says in its largest letters: what to do with the hand that holds the probe, where the step is a plain
 * reading; else the title the step came with.
 */
export function stepHeading(step: PlannedStep, view: StepView): string {
  if (step.action !== "reading") return view.title;
  const [kind = ""] = step.id.split(":", 1);
  const verb = verbs[kind];
  if (verb === undefined) return view.title;
  const pin = /^([^.:]+)\.([^.]+)$/.exec(step.at);
  if (pin !== null) return `${verb} ${pin[1]} pin ${pin[2]}`;
  const net = /^(rail|net):(.+)$/.exec(step.at);
  if (net !== null) return `${verb} ${net[2]}`;
  return view.title;
}
