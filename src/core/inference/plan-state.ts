/** A state of knowledge: hypotheses still alive, their weights and classes. Buffers are owned and reused. */
export interface PlanState {
  count: number;
  mass: number;
  /** [count]: index of the merged hypothesis. */
  readonly live: Int32Array;
  /** [count]: unnormalised weight. */
  readonly weights: Float64Array;
  /** [count]: position of the hypothesis's class in `classes`. */
  readonly slots: Int32Array;
  classCount: number;
  readonly classes: Int32Array;
  /** [classCount]: total weight of each class. */
  readonly classMasses: Float64Array;
  /** Scratch, -1 everywhere between calls. */
  readonly slotOf: Int32Array;
}

/** Empty buffers for up to `hypotheses` merged hypotheses and class numbers below `classCapacity`. */
export function createPlanState(hypotheses: number, classCapacity: number): PlanState {
  return {
    count: 0,
    mass: 0,
    live: new Int32Array(hypotheses),
    weights: new Float64Array(hypotheses),
    slots: new Int32Array(hypotheses),
    classCount: 0,
    classes: new Int32Array(classCapacity),
    classMasses: new Float64Array(classCapacity),
    slotOf: new Int32Array(classCapacity).fill(-1),
  };
}

/**
 * Fills a state from `weights` [merged hypotheses], leaving out those of weight 0, and sorts it into the classes
 * `classOf` [merged hypotheses].
 */
export function fillPlanState(state: PlanState, weights: Float64Array, classOf: Int32Array): void {
  let count = 0;
  let mass = 0;
  state.classCount = 0;
  for (let i = 0; i < weights.length; i += 1) {
    const weight = weights[i] ?? 0;
    if (weight <= 0) continue;
    const id = classOf[i] ?? 0;
    state.live[count] = i;
    state.weights[count] = weight;
    state.slots[count] = slotFor(state, id, id);
    addToSlot(state, count);
    count += 1;
    mass += weight;
  }
  state.count = count;
  state.mass = mass;
  for (let slot = 0; slot < state.classCount; slot += 1) state.slotOf[state.classes[slot] ?? 0] = -1;
}

/**
 * Fills `child` with what `state` becomes when an outcome is seen: every weight is multiplied by `factors` [codes] of
 * the hypothesis's code in `codes` [merged hypotheses]. `mass` is the sum this gives. Hypotheses lighter than
 * `negligibleShare` of the mean are left out and the rest scaled up to `mass` again.
 */
export function condition(
  state: PlanState,
  codes: Uint8Array,
  factors: Float64Array,
  mass: number,
  negligibleShare: number,
  child: PlanState,
): void {
  const floor = (mass / Math.max(1, state.count)) * negligibleShare;
  let count = 0;
  let kept = 0;
  for (let i = 0; i < state.count; i += 1) {
    const hypothesis = state.live[i] ?? 0;
    const weight = (state.weights[i] ?? 0) * (factors[codes[hypothesis] ?? 0] ?? 0);
    if (weight <= floor) continue;
    child.live[count] = hypothesis;
    child.weights[count] = weight;
    child.slots[count] = state.slots[i] ?? 0;
    count += 1;
    kept += weight;
  }
  const scale = kept > 0 ? mass / kept : 0;
  child.classCount = 0;
  for (let i = 0; i < count; i += 1) {
    child.weights[i] = (child.weights[i] ?? 0) * scale;
    const oldSlot = child.slots[i] ?? 0;
    child.slots[i] = slotFor(child, oldSlot, state.classes[oldSlot] ?? 0);
    addToSlot(child, i);
  }
  for (let slot = 0; slot < state.classCount; slot += 1) child.slotOf[slot] = -1;
  child.count = count;
  child.mass = mass;
}

/** The slot filed under `key`, opened for class `id` if there is none yet. */
function slotFor(state: PlanState, key: number, id: number): number {
  const known = state.slotOf[key] ?? -1;
  if (known >= 0) return known;
  const slot = state.classCount;
  state.slotOf[key] = slot;
  state.classes[slot] = id;
  state.classMasses[slot] = 0;
  state.classCount = slot + 1;
  return slot;
}

function addToSlot(state: PlanState, i: number): void {
  const slot = state.slots[i] ?? 0;
  state.classMasses[slot] = (state.classMasses[slot] ?? 0) + (state.weights[i] ?? 0);
}
