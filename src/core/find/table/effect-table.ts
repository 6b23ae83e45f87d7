import { applyChanges, revertChanges } from "../faults/change.js";
import type { Effect } from "../faults/fault.js";
import type { FindModel } from "../model/model.js";
import type { Circuit } from "../settle/build.js";
import { judgeProcessor } from "../settle/elements-processor.js";
import { type ProcessorState, processorStates } from "../settle/engine.js";
import { unionOverPhases } from "../settle/value.js";
import { type MachineView, machineObservables, machineStates, viewMachine } from "./chain.js";

/** What a row says about the machine as its user meets it; 255 where the board has no such thing. */
export const noState = 255;

/**
 * The effect table: what every net shows and what the machine does, for each effect under each way its processor
 * may behave. Row 0 is the healthy board. A crashed processor gives several rows with weights: nothing behind it is
 * certain, but all of it hangs together.
 */
export interface EffectTable {
  readonly netCount: number;
  readonly rowCount: number;
  /** Union over the phases of each net's value [rows × nets], row-major. */
  readonly nets: Uint8Array;
  /** State of each machine observable [rows × observables], in the order of `machineObservables`. */
  readonly machine: Uint8Array;
  /** First row of each effect; its rows are consecutive. Length effects + 1. */
  readonly firstRow: Int32Array;
  /** Share of each row in its effect; the rows of one effect sum to 1. */
  readonly weight: Float64Array;
  readonly state: Uint8Array;
}

/** Told how far the building has come; returns false to stop it. */
export type Progress = (done: number, total: number) => boolean;

export class Cancelled extends Error {
  constructor() {
    super("the work was cancelled");
    this.name = "Cancelled";
  }
}

interface Baseline {
  readonly values: Uint8Array;
  readonly drive: Uint8Array;
  readonly nets: Uint8Array;
}

/** Crash modes with their share, from the model. */
export function crashModes(model: FindModel): readonly (readonly ["halted" | "looping" | "wild", number])[] {
  const { halted, looping, wild } = model.crashModes;
  const total = halted + looping + wild;
  return [
    ["halted", halted / total],
    ["looping", looping / total],
    ["wild", wild / total],
  ];
}

/** Settles effects one after another on a circuit; keeps the eight processor baselines between them. */
export class EffectSettler {
  private readonly circuit: Circuit;
  private readonly modes: ReturnType<typeof crashModes>;
  private readonly baselines = new Map<ProcessorState, Baseline>();
  private loaded: ProcessorState = "running";

  constructor(circuit: Circuit, model: FindModel) {
    this.circuit = circuit;
    this.modes = crashModes(model);
    this.baselines.set("running", this.snapshot());
  }

  /** The processor states an effect leads to, with their shares. Settles on the running board. */
  statesOf(effect: Pick<Effect, "changes">): readonly (readonly [ProcessorState, number])[] {
    const { engine, processor } = this.circuit;
    if (processor === undefined) return [["running", 1]];
    this.load("running");
    const mark = engine.mark();
    applyChanges(engine, effect.changes);
    engine.settle();
    const verdict = judgeProcessor(engine, processor.wiring, processor.element);
    revertChanges(engine, effect.changes);
    engine.undo(mark);
    if (verdict.outcome === "running") return [["running", 1]];
    if (verdict.outcome === "dead") return [["dead", 1]];
    return this.modes.map(
      ([mode, share]) => [`${verdict.outcome}-${mode}` as ProcessorState, share] as const,
    );
  }

  /** Settles an effect under a processor state, hands the settled engine to `look`, and takes everything back. */
  settleUnder(
    effect: Pick<Effect, "changes">,
    state: ProcessorState,
    look: (changedNets: Set<number>, view: () => MachineView) => void,
  ): void {
    const { engine } = this.circuit;
    this.load(state);
    const mark = engine.mark();
    applyChanges(engine, effect.changes);
    engine.settle();
    const changed = new Set<number>();
    engine.eachChangedNet(mark, (net) => changed.add(net));
    look(changed, () => viewMachine(engine));
    revertChanges(engine, effect.changes);
    engine.undo(mark);
  }

  /** Union values of all nets of the board with nothing wrong but the processor in this state. */
  baselineNets(state: ProcessorState): Uint8Array {
    this.load(state);
    return this.baseline(state).nets;
  }

  /** Leaves the engine on the healthy running board, as it was found. */
  release(): void {
    this.load("running");
  }

  private baseline(state: ProcessorState): Baseline {
    const known = this.baselines.get(state);
    if (known !== undefined) return known;
    const { engine, processor } = this.circuit;
    this.restore("running");
    engine.processorState = state;
    if (processor !== undefined) {
      for (const [e, element] of engine.elements.entries()) {
        const kind = engine.wiring.parts[element.part]?.type.behaviour.kind;
        if (kind === "processor" || kind === "memory" || kind === "peripheral")
          engine.makeDue(e, engine.allPhases);
      }
      engine.settle();
    }
    const made = this.snapshot();
    this.baselines.set(state, made);
    this.loaded = state;
    engine.keep();
    return made;
  }

  private load(state: ProcessorState): void {
    if (this.loaded === state) return;
    this.baseline(state);
    if (this.loaded !== state) this.restore(state);
  }

  private restore(state: ProcessorState): void {
    const { engine } = this.circuit;
    const base = this.baselines.get(state);
    if (base === undefined) return;
    engine.values.set(base.values);
    engine.drive.set(base.drive);
    engine.processorState = state;
    engine.keep();
    this.loaded = state;
  }

  private snapshot(): Baseline {
    const { engine } = this.circuit;
    const netCount = engine.wiring.nets.length;
    const nets = new Uint8Array(netCount);
    for (let net = 0; net < netCount; net += 1) {
      nets[net] = unionOverPhases(engine.values, net * engine.phaseCount, engine.phaseCount);
    }
    return { values: engine.values.slice(), drive: engine.drive.slice(), nets };
  }
}

/**
 * Builds the table for a list of effects; effect 0 must be the empty one (health).
 * Work grows with the cones of the effects, near linear in effects × nets. Throws `Cancelled` if `progress` says so.
 */
export function buildEffectTable(
  circuit: Circuit,
  effects: readonly Effect[],
  model: FindModel,
  progress: Progress = () => true,
): EffectTable {
  const settler = new EffectSettler(circuit, model);
  try {
    return fillTable(circuit, settler, effects, progress);
  } finally {
    settler.release();
  }
}

function fillTable(
  circuit: Circuit,
  settler: EffectSettler,
  effects: readonly Effect[],
  progress: Progress,
): EffectTable {
  const firstRow = new Int32Array(effects.length + 1);
  const weights: number[] = [];
  const states: number[] = [];
  const byState: { row: number; effect: number }[][] = processorStates.map(() => []);
  for (const [i, effect] of effects.entries()) {
    firstRow[i] = weights.length;
    for (const [state, share] of settler.statesOf(effect)) {
      const code = processorStates.indexOf(state);
      byState[code]?.push({ row: weights.length, effect: i });
      weights.push(share);
      states.push(code);
    }
    if ((i & 255) === 255 && !progress(i, effects.length * 2)) throw new Cancelled();
  }
  const rowCount = weights.length;
  firstRow[effects.length] = rowCount;
  const netCount = circuit.wiring.nets.length;
  const nets = new Uint8Array(rowCount * netCount);
  const machine = new Uint8Array(rowCount * machineObservables.length).fill(noState);
  let done = 0;
  for (const [code, jobs] of byState.entries()) {
    const state = processorStates[code];
    if (state === undefined || jobs.length === 0) continue;
    const base = settler.baselineNets(state);
    for (const { row, effect } of jobs) {
      const target = row * netCount;
      nets.set(base, target);
      settler.settleUnder(effects[effect] as Effect, state, (changed, view) => {
        const { engine } = circuit;
        for (const net of changed) {
          nets[target + net] = unionOverPhases(engine.values, net * engine.phaseCount, engine.phaseCount);
        }
        writeView(machine, row, view());
      });
      done += 1;
      if ((done & 255) === 255 && !progress(rowCount + done, rowCount * 2)) throw new Cancelled();
    }
  }
  return {
    netCount,
    rowCount,
    nets,
    machine,
    firstRow,
    weight: Float64Array.from(weights),
    state: Uint8Array.from(states),
  };
}

/** Stores a view as state codes. */
export function writeView(machine: Uint8Array, row: number, view: MachineView): void {
  for (const [o, observable] of machineObservables.entries()) {
    const state = view[observable];
    const names: readonly string[] = machineStates[observable];
    machine[row * machineObservables.length + o] = state === undefined ? noState : names.indexOf(state);
  }
}
