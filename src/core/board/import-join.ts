import type { Parsed } from "../base/problem.js";
import { type BoardFormat, boardFormats, formatTitles } from "./read/detect-format.js";
import type { DraftComponent, NetlistDraft } from "./read/netlist-draft.js";
import { createProblemList, type ProblemList, quoted } from "./read/problem-list.js";

/** One file of a board, as read. */
export interface DraftFile {
  readonly file: string;
  readonly format: BoardFormat;
  readonly draft: NetlistDraft;
}

// How many names a sentence lists before it says how many more there are.
const listedNames = 8;

/**
 * Joins several files of one board. Components and nets come from the file whose format knows most (a netlist before a
 * layout), missing values and descriptions from the others, places from the first file that has some. What the files do
 * not agree on becomes a warning: components in one file only, other values, and pins that another file joins
 * differently; nets may have other names in each. One file alone is returned as it is.
 *
 * Throws `RangeError` for no file. Codes: `only-in-one-file`, `values-differ`, `nets-differ`, `no-place`.
 */
export function joinDrafts(files: readonly DraftFile[]): Parsed<NetlistDraft> {
  const ranked = [...files].sort((a, b) => boardFormats.indexOf(a.format) - boardFormats.indexOf(b.format));
  const [main, ...others] = ranked;
  if (main === undefined) throw new RangeError("files must hold at least one file, got none");
  if (others.length === 0) return { value: main.draft, problems: [] };
  const problems = createProblemList();
  for (const other of others) compareFiles(main, other, problems);
  const byRef = others.map(
    ({ draft }) => new Map(draft.components.map((component) => [component.ref, component])),
  );
  const components = main.draft.components.map((component) => complete(component, byRef));
  const placed = ranked.find(({ draft }) => (draft.layout?.places.size ?? 0) > 0);
  const layout = placed?.draft.layout;
  const title = ranked.flatMap(({ draft }) => draft.title ?? [])[0];
  if (placed !== undefined && layout !== undefined && placed !== main) {
    // What is not in that file at all has been said already.
    const there = new Set(placed.draft.components.map(({ ref }) => ref));
    const missing = components.filter(({ ref }) => there.has(ref) && !layout.places.has(ref));
    if (missing.length > 0)
      problems.warning(
        "no-place",
        `${placed.file} has no place for ${names(missing.map(({ ref }) => ref))}.`,
        { file: placed.file },
      );
  }
  return {
    value: {
      ...main.draft,
      ...(title === undefined ? {} : { title }),
      components,
      ...(layout === undefined ? {} : { layout }),
    },
    problems: problems.all(),
  };
}

/** The component with what only other files say of it. */
function complete(
  component: DraftComponent,
  others: readonly ReadonlyMap<string, DraftComponent>[],
): DraftComponent {
  let known = component;
  for (const components of others) {
    const other = components.get(component.ref);
    if (other === undefined) continue;
    const { footprint = other.footprint, description = other.description } = known;
    known = {
      ...known,
      value: known.value === "" ? other.value : known.value,
      ...(footprint === undefined ? {} : { footprint }),
      ...(description === undefined ? {} : { description }),
      notFitted: known.notFitted || other.notFitted,
    };
  }
  return known;
}

function compareFiles(main: DraftFile, other: DraftFile, problems: ProblemList): void {
  const mine = new Map(main.draft.components.map((component) => [component.ref, component]));
  const theirs = new Map(other.draft.components.map((component) => [component.ref, component]));
  for (const [from, lacking, refs] of [
    [main, other, [...mine.keys()].filter((ref) => !theirs.has(ref))],
    [other, main, [...theirs.keys()].filter((ref) => !mine.has(ref))],
  ] as const) {
    if (refs.length === 0) continue;
    problems.warning(
      "only-in-one-file",
      `The ${formatTitles[from.format]} ${from.file} has ${names(refs)}, which ${lacking.file} has not.${from === other ? " They were left out." : ""}`,
      { file: from.file, line: lineOf(from, refs[0]), field: "ref" },
      "Check that both files are of the same state of the same board.",
    );
  }
  for (const [ref, { value, line }] of theirs) {
    const before = mine.get(ref)?.value;
    if (before === undefined || before === "" || value === "" || before === value) continue;
    problems.warning(
      "values-differ",
      `${quoted(ref)} is ${quoted(value)} here and ${quoted(before)} in ${main.file}; the latter was kept.`,
      { file: other.file, line, field: `${ref}.value` },
    );
  }
  compareNets(main, other, mine, theirs, problems);
}

/**
 * Nets are compared by their pins, because formats rename them: each net of one file is taken for the net of the other
 * with which it shares most pins, and pins elsewhere are reported.
 */
function compareNets(
  main: DraftFile,
  other: DraftFile,
  mine: ReadonlyMap<string, DraftComponent>,
  theirs: ReadonlyMap<string, DraftComponent>,
  problems: ProblemList,
): void {
  const isShared = (ref: string): boolean => mine.has(ref) && theirs.has(ref);
  const myNet = netsByPin(main.draft);
  const theirNet = netsByPin(other.draft);
  const partnerOfMine = partners(myNet, theirNet);
  const partnerOfTheirs = partners(theirNet, myNet);
  for (const { name, nodes } of other.draft.nets) {
    for (const { ref, pin, line } of nodes) {
      const own = myNet.get(key(ref, pin));
      if (!isShared(ref) || own === undefined) continue;
      if (partnerOfTheirs.get(name) === own && partnerOfMine.get(own) === name) continue;
      problems.warning(
        "nets-differ",
        `Pin ${quoted(`${ref}.${pin}`)} is on net ${quoted(name)} here and on net ${quoted(own)} in ${main.file}, and these two do not have the same pins; the latter was kept.`,
        { file: other.file, line, field: `${ref}.${pin}` },
      );
    }
  }
  // A pin that only one file connects matters if the net leads somewhere.
  for (const [from, lacking, there] of [
    [main, other, theirNet],
    [other, main, myNet],
  ] as const) {
    const open = from.draft.nets.flatMap(({ nodes }) =>
      nodes.filter(({ ref, pin }) => nodes.length > 1 && isShared(ref) && !there.has(key(ref, pin))),
    );
    const [first] = open;
    if (first === undefined) continue;
    problems.warning(
      "nets-differ",
      `${from.file} connects ${names(open.map(({ ref, pin }) => `${ref}.${pin}`))}, which ${lacking.file} leaves open.`,
      { file: from.file, line: first.line, field: `${first.ref}.${first.pin}` },
    );
  }
}

function netsByPin(draft: NetlistDraft): Map<string, string> {
  return new Map(
    draft.nets.flatMap(({ name, nodes }) => nodes.map(({ ref, pin }) => [key(ref, pin), name] as const)),
  );
}

/** For each net of `from`, the net of `to` with which it shares most pins. */
function partners(from: ReadonlyMap<string, string>, to: ReadonlyMap<string, string>): Map<string, string> {
  const counts = new Map<string, Map<string, number>>();
  for (const [pin, net] of from) {
    const there = to.get(pin);
    if (there === undefined) continue;
    let own = counts.get(net);
    if (own === undefined) {
      own = new Map();
      counts.set(net, own);
    }
    own.set(there, (own.get(there) ?? 0) + 1);
  }
  const found = new Map<string, string>();
  for (const [net, own] of counts) {
    const [best] = [...own].reduce((a, b) => (b[1] > a[1] ? b : a));
    found.set(net, best);
  }
  return found;
}

function key(ref: string, pin: string): string {
  return `${ref}\u0000${pin}`;
}

function lineOf({ draft }: DraftFile, ref: string | undefined): number {
  return draft.components.find((component) => component.ref === ref)?.line ?? 1;
}

function names(all: readonly string[]): string {
  const shown = all.slice(0, listedNames).join(", ");
  return all.length > listedNames ? `${shown} and ${all.length - listedNames} more` : shown;
}
