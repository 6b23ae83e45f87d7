import { applyChanges, revertChanges } from "../faults/change.js";
import type { Effect } from "../faults/fault.js";
import type { FindModel } from "../model/model.js";
import type { Circuit } from "../settle/build.js";
import { judgeProcessor } from "../settle/elements-processor.js";
import { type ProcessorState, processorStates } from "../settle/engine.js";
import {
  type MachineObservable,
  type MachineView,
  MachineViewer,
  machineObservables,
  machineStates,
} from "./chain.js";

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

/** The board with nothing wrong but the state of its processor. */
interface Baseline {
  readonly nets: Int32Array;
  readonly drive: Int32Array;
  /** What an instrument sees on each net. */
  readonly seen: Uint8Array;
}

/** What a settled board shows. */
export interface SettledRow {
  /** What an instrument sees on each net; overwritten by the next settling. */
  readonly seen: Uint8Array;
  readonly view: MachineView;
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
  private readonly viewer: MachineViewer;
  private readonly baselines = new Map<ProcessorState, Baseline>();
  private readonly seen: Uint8Array;
  private loaded: ProcessorState = "running";

  constructor(circuit: Circuit, model: FindModel) {
    this.circuit = circuit;
    this.modes = crashModes(model);
    this.viewer = new MachineViewer(circuit.engine);
    this.seen = new Uint8Array(circuit.wiring.nets.length);
    this.baselines.set("running", this.snapshot());
  }

  /**
   * The processor states an effect leads to, with their shares. Settles on the running board; where that is what the
   * effect leads to, `whenRunning` is told what the board shows, so that it need not be settled again.
   */
  statesOf(
    effect: Pick<Effect, "changes">,
    whenRunning?: (row: SettledRow) => void,
  ): readonly (readonly [ProcessorState, number])[] {
    const { engine, processor } = this.circuit;
    return this.during(effect, "running", (changed) => {
      const outcome =
        processor === undefined
          ? "running"
          : judgeProcessor(engine, processor.wiring, processor.reset).outcome;
      if (outcome === "running") {
        whenRunning?.(this.lookAround("running", changed));
        return [["running", 1]];
      }
      if (outcome === "dead") return [["dead", 1]];
      return this.modes.map(([mode, share]) => [`${outcome}-${mode}`, share] as const);
    });
  }

  /** What the board shows with an effect under a processor state. */
  settleRow(effect: Pick<Effect, "changes">, state: ProcessorState): SettledRow {
    return this.during(effect, state, (changed) => this.lookAround(state, changed));
  }

  private during<T>(
    effect: Pick<Effect, "changes">,
    state: ProcessorState,
    look: (changed: readonly number[]) => T,
  ): T {
    const { engine } = this.circuit;
    this.load(state);
    const mark = engine.mark();
    try {
      applyChanges(engine, effect.changes);
      engine.settle();
      return look(engine.changedNets(mark));
    } finally {
      revertChanges(engine, effect.changes);
      engine.undo(mark);
    }
  }

  private lookAround(state: ProcessorState, changed: readonly number[]): SettledRow {
    const { engine } = this.circuit;
    const { seen } = this;
    seen.set(this.baseline(state).seen);
    for (const net of changed) seen[net] = engine.unionOf(net);
    return { seen, view: this.viewer.view(engine, seen, 0) };
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
        if (kind === "processor" || kind === "memory" || kind === "peripheral") engine.makeDue(e);
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
    engine.nets.set(base.nets);
    engine.drive.set(base.drive);
    engine.processorState = state;
    engine.keep();
    this.loaded = state;
  }

  private snapshot(): Baseline {
    const { engine } = this.circuit;
    const seen = Uint8Array.from(engine.wiring.nets, (_, net) => engine.unionOf(net));
    return { nets: engine.nets.slice(), drive: engine.drive.slice(), seen };
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
  const running: { readonly row: number; readonly seen: Uint8Array; readonly view: MachineView }[] = [];
  const crashed: { row: number; effect: number }[][] = processorStates.map(() => []);
  const keep = ({ seen, view }: SettledRow): void => {
    running.push({ row: weights.length, seen: seen.slice(), view });
  };
  for (const [i, effect] of effects.entries()) {
    firstRow[i] = weights.length;
    for (const [state, share] of settler.statesOf(effect, keep)) {
      const code = processorStates.indexOf(state);
      if (state !== "running") crashed[code]?.push({ row: weights.length, effect: i });
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
  const put = (row: number, { seen, view }: SettledRow): void => {
    nets.set(seen, row * netCount);
    writeView(machine, row, view);
  };
  for (const { row, ...settled } of running) put(row, settled);
  let done = running.length;
  // One processor state after the other, so that each baseline is loaded once.
  for (const [code, jobs] of crashed.entries()) {
    const state = processorStates[code];
    if (state === undefined) continue;
    for (const { row, effect } of jobs) {
      put(row, settler.settleRow(effects[effect] as Effect, state));
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

/** Code of each state of each observable: its place in `machineStates`. */
const stateCodes = machineObservables.map(
  (observable) => new Map<string, number>(machineStates[observable].map((state, code) => [state, code])),
);

/** Stores a view as state codes. */
export function writeView(machine: Uint8Array, row: number, view: MachineView): void {
  const at = row * machineObservables.length;
  for (let o = 0; o < machineObservables.length; o += 1) {
    const state = view[machineObservables[o] as MachineObservable];
    machine[at + o] = state === undefined ? noState : (stateCodes[o]?.get(state) ?? noState);
  }
}
