import type { CouplingFault, MemoryFault, SingleCellFault } from "../../src/core/memory/faults/fault.js";
import type { MarchTest } from "../../src/core/memory/march/march.js";

/*
 * The slow rival of the fault simulator: one memory of single bits at a time, each fault as a list of rules "if the cell
 * holds this and that is done, this happens", tried one after the other.
 */

interface Rule {
  /** The cell that must hold `holds`, besides the cell that is operated on. */
  readonly other?: { readonly cell: number; readonly holds: number };
  /** The cell operated on, what it holds before, and the operation; `any` where it does not matter. */
  readonly at: number;
  readonly before: number | "any";
  readonly operation: "r" | "w0" | "w1";
  /** What a cell holds afterwards. */
  readonly sets?: { readonly cell: number; readonly to: number | "inverse" };
  /** What the read gives instead. */
  readonly gives?: number;
}

/** True if the test sees the fault, for this initial content, when ⇕ goes upward; memories of single bits. */
export function scalarCatches(
  test: MarchTest,
  fault: Exclude<MemoryFault, { kind: "AF" }>,
  initial: readonly number[],
  lastRead: number,
): boolean {
  const cells = [...initial];
  const rules = "aggressor" in fault ? couplingRules(fault) : cellRules(fault);
  let line = lastRead;
  settle(fault, cells);
  for (const element of test.elements) {
    if (element.kind === "pause") {
      if (fault.kind === "DRF" && cells[fault.cell] === fault.state) cells[fault.cell] = 1 - fault.state;
      continue;
    }
    const addresses = cells.map((_, address) => address);
    if (element.order === "down") addresses.reverse();
    for (const address of addresses) {
      for (const { kind, inverted } of element.operations) {
        const wanted = inverted ? 1 : 0;
        const operation = kind === "read" ? "r" : wanted === 1 ? "w1" : "w0";
        const held = cells[address] ?? 0;
        let given = held;
        const applying = rules.filter(
          ({ at, before, operation: when, other }) =>
            at === address &&
            (before === "any" || before === held) &&
            when === operation &&
            (other === undefined || cells[other.cell] === other.holds),
        );
        if (kind === "write") cells[address] = wanted;
        for (const { sets, gives } of applying) {
          if (gives !== undefined) given = gives;
          if (sets !== undefined)
            cells[sets.cell] = sets.to === "inverse" ? 1 - (cells[sets.cell] ?? 0) : sets.to;
        }
        if (fault.kind === "SOF" && fault.cell === address) {
          cells[address] = held;
          given = line;
        }
        settle(fault, cells);
        if (kind === "read") {
          line = given;
          if (given !== wanted) return true;
        }
      }
    }
  }
  return false;
}

function settle(fault: MemoryFault, cells: number[]): void {
  if (fault.kind === "SAF") cells[fault.cell] = fault.value;
  if (fault.kind === "CFst" && cells[fault.aggressor] === fault.state) cells[fault.victim] = fault.forces;
}

function cellRules(fault: SingleCellFault): Rule[] {
  switch (fault.kind) {
    case "TF":
      return [transition(fault.cell, fault.to)];
    case "WDF":
      return [uselessWrite(fault.cell, fault.state)];
    case "RDF":
    case "DRDF":
    case "IRF":
      return [badRead(fault.cell, fault.state, fault.kind)];
    default:
      return [];
  }
}

function couplingRules(fault: CouplingFault): Rule[] {
  const { aggressor, victim } = fault;
  const only = (rule: Rule): Rule[] =>
    "aggressorState" in fault ? [{ ...rule, other: { cell: aggressor, holds: fault.aggressorState } }] : [];
  switch (fault.kind) {
    case "CFin":
      return [{ ...transition(aggressor, fault.to), sets: { cell: victim, to: "inverse" } }];
    case "CFid":
      return [{ ...transition(aggressor, fault.to), sets: { cell: victim, to: fault.forces } }];
    case "CFst":
      return [];
    case "CFdyn": {
      const sets = { cell: victim, to: fault.forces };
      return [
        { at: aggressor, before: fault.value, operation: "r", sets },
        { at: aggressor, before: "any", operation: fault.value === 1 ? "w1" : "w0", sets },
      ];
    }
    case "CFds": {
      const { operation, state } = fault;
      const other = { cell: victim, holds: state };
      const sets = { cell: victim, to: 1 - state };
      if (operation === "r0" || operation === "r1")
        return [{ at: aggressor, before: Number(operation[1]), operation: "r", other, sets }];
      const write = operation.endsWith("w1") ? "w1" : "w0";
      return [{ at: aggressor, before: Number(operation[0]), operation: write, other, sets }];
    }
    case "CFtr":
      return only(transition(victim, fault.state));
    case "CFwd":
      return only(uselessWrite(victim, fault.state));
    case "CFrd":
      return only(badRead(victim, fault.state, "RDF"));
    case "CFdrd":
      return only(badRead(victim, fault.state, "DRDF"));
    case "CFir":
      return only(badRead(victim, fault.state, "IRF"));
  }
}

/** Going to `to` from the other value leaves the cell where it was. */
function transition(at: number, to: number): Rule {
  return { at, before: 1 - to, operation: to === 1 ? "w1" : "w0", sets: { cell: at, to: 1 - to } };
}

function uselessWrite(at: number, state: number): Rule {
  return { at, before: state, operation: state === 1 ? "w1" : "w0", sets: { cell: at, to: 1 - state } };
}

function badRead(at: number, state: number, kind: "RDF" | "DRDF" | "IRF"): Rule {
  return {
    at,
    before: state,
    operation: "r",
    ...(kind === "IRF" ? {} : { sets: { cell: at, to: 1 - state } }),
    ...(kind === "DRDF" ? {} : { gives: 1 - state }),
  };
}
