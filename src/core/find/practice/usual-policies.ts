import type { Answer } from "./answer.js";
import type { Complaint } from "./complaint.js";
import type { Move, Policy } from "./policy.js";
import { UsualWork } from "./usual-work.js";

/** Rails first, then the parts likeliest to fail for their cost, in the sections that the report points at. */
export const replaceByOdds: Policy = {
  name: "replace-by-odds",
  title: "replacing by failure rate and cost",
  *work({ prepared, entries }) {
    const work = new UsualWork(prepared, entries);
    yield* work.askWhetherAlive();
    yield* work.rails();
    yield* work.replaceOn(work.complaint());
  },
};

/** Rails first, then all working memory where bad memory could do it, then as `replaceByOdds`. */
export const replaceMemoryFirst: Policy = {
  name: "replace-memory-first",
  title: "replacing all memory first",
  *work({ prepared, entries }) {
    const work = new UsualWork(prepared, entries);
    yield* work.askWhetherAlive();
    yield* work.rails();
    const complaint = work.complaint();
    if (complaint.memory)
      yield* work.repairAll(
        (part) => part.type.behaviour.kind === "memory" && part.type.behaviour.content === "ram",
        ["replace"],
      );
    yield* work.replaceOn(complaint);
  },
};

/**
 * Rails, clock and reset at the processor, contacts, then half-splitting: the path of the signal is probed in its
 * middle, and the half that must hold the fault is split again. From the first line that does not show what it should,
 * the search goes back through the inputs of what drives it; the part whose inputs are right and whose output is not is
 * replaced, then what else hangs on the line. If the split finds nothing, socketed chips are swapped, then all lines of
 * the path are probed one by one, and only then are parts unsoldered as in `replaceByOdds`.
 */
export const halfSplitting: Policy = {
  name: "half-splitting",
  title: "half-splitting with the probe",
  *work({ prepared, entries }) {
    const work = new UsualWork(prepared, entries);
    yield* work.askWhetherAlive();
    yield* work.rails();
    const complaint = work.complaint();
    for (const line of complaint.vital) if (yield* looksWrong(work, line)) yield* followLine(work, line);
    yield* work.reseat(complaint);
    const first = yield* splitPath(work, complaint);
    if (first !== undefined) yield* followLine(work, first);
    yield* work.swapSocketed(complaint);
    for (const line of complaint.path.flat())
      if (yield* looksWrong(work, line)) yield* followLine(work, line);
    yield* work.replaceOn(complaint);
  },
};

/** The usual ways of working that the plan is compared with. */
export const usualPolicies: readonly Policy[] = [halfSplitting, replaceByOdds, replaceMemoryFirst];

/** The first line along the path that looks wrong, found by bisection; undefined if all that was probed looks right. */
function* splitPath(work: UsualWork, { path }: Complaint): Generator<Move, string | undefined, Answer> {
  let low = 0;
  let high = path.length;
  let found: string | undefined;
  while (low < high) {
    const middle = (low + high) >> 1;
    let wrong: string | undefined;
    for (const line of path[middle] ?? []) {
      if (yield* looksWrong(work, line)) {
        wrong = line;
        break;
      }
    }
    if (wrong === undefined) low = middle + 1;
    else {
      found = wrong;
      high = middle;
    }
  }
  return found;
}

function* looksWrong(work: UsualWork, line: string): Generator<Move, boolean, Answer> {
  const step = work.schematic.probe(line);
  if (step === undefined) return false;
  return yield* work.surprises(step, (shows) => shows !== work.schematic.expected(line));
}

/** From a wrong line back through the inputs of its drivers, as far as they are wrong too; then repairs there. */
function* followLine(work: UsualWork, from: string): Generator<Move, void, Answer> {
  if (work.followed.has(from)) return;
  const seen = new Set([from]);
  let line = from;
  for (;;) {
    let above: string | undefined;
    for (const driver of work.schematic.driversOf(line)) {
      for (const input of work.schematic.inputsOf(driver)) {
        if (above !== undefined || seen.has(input)) continue;
        seen.add(input);
        if (yield* looksWrong(work, input)) above = input;
      }
    }
    if (above === undefined) break;
    line = above;
  }
  for (const one of seen) work.followed.add(one);
  const drivers = new Set(work.schematic.driversOf(line));
  yield* work.repairAll((part) => drivers.has(part.index));
  const others = new Set(work.schematic.partsOn(line));
  yield* work.repairAll((part) => others.has(part.index));
}
