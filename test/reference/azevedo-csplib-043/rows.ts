import { readFileSync } from "node:fs";
import { z } from "zod";
import { createRandom } from "../../../src/core/base/random.js";
import type { ReferenceRow } from "../support/check.js";
import { equivalenceClasses } from "../support/circuits/equivalence.js";
import { type Netlist, netNumber } from "../support/circuits/netlist.js";
import { circuitsAbsent, readCircuit } from "../support/circuits/read-circuit.js";
import type { StuckNet } from "../support/circuits/xor-and-graph.js";

type Classes = readonly (readonly string[])[];

const classesSchema = z.array(z.array(z.string().regex(/^\d+\/[01](\+\d+\/[01])*$/)));

const dataSchema = z.strictObject({ singleFaultClasses: classesSchema, doubleFaultClasses: classesSchema });

/** The classes as published. */
export const data = dataSchema.parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));

/** Number, sizes and members of the classes of single and of double faults. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  const netlist = readCircuit("c1355");
  return [
    ...classRows("single faults", data.singleFaultClasses, netlist),
    ...classRows("double faults", data.doubleFaultClasses, netlist),
  ];
}

function classRows(kind: string, published: Classes, netlist: Netlist | null): ReferenceRow[] {
  const faults = published.flat().sort();
  const ours = netlist === null ? null : classesOf(netlist, faults);
  const row = (quantity: string, figure: (classes: Classes) => number | string): ReferenceRow => {
    const base = { quantity: `c1355, ${kind}: ${quantity}`, published: figure(published), tolerance: 0 };
    return ours === null
      ? { ...base, ours: null, tag: "published", skipped: circuitsAbsent }
      : { ...base, ours: ours.proven ? figure(ours.classes) : "not proven", tag: "published" };
  };
  return [
    row("faults", (classes) => classes.flat().length),
    row("classes that no vector tells apart", (classes) => classes.length),
    row("sizes of the classes", (classes) =>
      classes
        .map((members) => members.length)
        .sort((a, b) => a - b)
        .join(","),
    ),
    row("members of the classes", renderClasses),
  ];
}

function classesOf(netlist: Netlist, faults: readonly string[]): { classes: Classes; proven: boolean } {
  const { classes, proven } = equivalenceClasses(
    netlist,
    faults.map((fault) => stuckNets(netlist, fault)),
    createRandom(43),
  );
  return { classes: classes.map((members) => members.map((index) => faults[index] ?? "")), proven };
}

function stuckNets(netlist: Netlist, fault: string): StuckNet[] {
  return fault.split("+").map((part) => {
    const [net = "", value] = part.split("/");
    return { net: netNumber(netlist, `G${net}gat`), value: value === "1" ? 1 : 0 };
  });
}

function renderClasses(classes: Classes): string {
  return classes
    .map((members) => `{${[...members].sort().join(", ")}}`)
    .sort()
    .join(" ");
}
