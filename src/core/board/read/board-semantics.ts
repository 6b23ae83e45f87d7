import type { Board } from "../board.js";
import type { PartType } from "../part-type.js";
import { pinNumbersOf } from "../type-pins.js";
import type { JsonPath } from "./json-places.js";

/** Where part types are looked up by name. */
export interface PartTypeSource {
  get(type: string): PartType | undefined;
  /** All type names, for telling the user the nearest one. */
  names(): Iterable<string>;
}

/** Something in a board that fits the schema but means nothing, or cannot be meant. */
export interface SemanticFlaw {
  readonly code: string;
  readonly severity: "error" | "warning";
  readonly path: JsonPath;
  readonly message: string;
  /** The name that was not found, and where to look for the nearest one. */
  readonly unknown?: { readonly name: string; readonly among: Iterable<string> };
}

type Report = (flaw: SemanticFlaw) => void;

/**
 * Checks what a board's names refer to: part types and pin numbers, parts, nets, phases and memory regions, and that
 * counts agree (address lines of a phase, data bits of a memory chip).
 * Codes: `unknown-type`, `unknown-pin`, `unknown-net`, `unknown-part`, `unknown-phase`, `unknown-region`,
 * `duplicate-ref`, `duplicate-id`, `duplicate-rail`, `wrong-count`, `wrong-range`.
 */
export function boardFlaws(board: Board, types: PartTypeSource): SemanticFlaw[] {
  const flaws: SemanticFlaw[] = [];
  const report: Report = (flaw) => flaws.push(flaw);
  const typeNames = [...types.names()];
  const nets = new Set(board.parts.flatMap((part) => Object.values(part.pins)));
  const refs = new Set(board.parts.map((part) => part.ref));
  const phases = new Set(board.phases.map((phase) => phase.id));
  const regions = new Set(board.memory.map((region) => region.id));

  const known =
    (code: string, what: string, names: ReadonlySet<string>) => (name: string, path: JsonPath) => {
      if (names.has(name)) return;
      report({
        code,
        severity: "error",
        path,
        message: `There is no ${what} called '${name}'.`,
        unknown: { name, among: names },
      });
    };
  const net = known("unknown-net", "net", nets);
  const part = known("unknown-part", "part", refs);
  const phase = known("unknown-phase", "phase", phases);
  const region = known("unknown-region", "memory region", regions);
  const each = (
    names: readonly string[],
    path: JsonPath,
    check: (name: string, path: JsonPath) => void,
  ): void => {
    for (const [i, name] of names.entries()) check(name, [...path, i]);
  };

  duplicates(
    board.parts.map((p) => p.ref),
    "duplicate-ref",
    "part",
    (i) => ["parts", i, "ref"],
    report,
  );
  duplicates(
    board.phases.map((p) => p.id),
    "duplicate-id",
    "phase",
    (i) => ["phases", i, "id"],
    report,
  );
  duplicates(
    board.memory.map((p) => p.id),
    "duplicate-id",
    "memory region",
    (i) => ["memory", i, "id"],
    report,
  );
  duplicates(
    board.rails.map((r) => r.net),
    "duplicate-rail",
    "rail",
    (i) => ["rails", i, "net"],
    report,
  );

  for (const [i, item] of board.parts.entries()) {
    const type = types.get(item.type);
    if (type === undefined) {
      const unknown = { name: item.type, among: typeNames };
      report({
        code: "unknown-type",
        severity: "error",
        path: ["parts", i, "type"],
        message: `There is no part type called '${item.type}'.`,
        unknown,
      });
    } else {
      checkPins(item.pins, type, ["parts", i, "pins"], report);
      checkPins(item.pads ?? {}, type, ["parts", i, "pads"], report);
    }
    each(item.samplesIn ?? [], ["parts", i, "samplesIn"], phase);
  }

  net(board.ground, ["ground"]);
  for (const [i, rail] of board.rails.entries()) {
    net(rail.net, ["rails", i, "net"]);
    if (rail.net === board.ground) {
      report({
        code: "duplicate-rail",
        severity: "error",
        path: ["rails", i, "net"],
        message: "The ground net is no rail.",
      });
    }
  }
  if (board.processor !== undefined) part(board.processor, ["processor"]);
  for (const name of Object.keys(board.steady)) net(name, ["steady", name]);
  for (const [i, item] of board.phases.entries()) {
    for (const name of Object.keys(item.levels ?? {})) net(name, ["phases", i, "levels", name]);
  }
  checkPhases(board, types, report);
  checkMemory(board, types, part, report);

  const { picture, sound, keys, tape, lamp } = board.chain;
  if (picture !== undefined) {
    for (const field of ["sync", "border", "content", "output", "characterBits"] as const)
      each(picture[field], ["chain", "picture", field], net);
    each(picture.memory, ["chain", "picture", "memory"], region);
    each(picture.generator, ["chain", "picture", "generator"], part);
  }
  if (sound !== undefined) each(sound.nets, ["chain", "sound", "nets"], net);
  if (keys !== undefined)
    for (const field of ["drive", "sense"] as const) each(keys[field], ["chain", "keys", field], net);
  if (tape !== undefined)
    for (const field of ["input", "output", "motor"] as const)
      each(tape[field], ["chain", "tape", field], net);
  each(lamp ?? [], ["chain", "lamp"], net);
  return flaws;
}

function duplicates(
  names: readonly string[],
  code: string,
  what: string,
  pathOf: (i: number) => JsonPath,
  report: Report,
): void {
  const first = new Map<string, number>();
  for (const [i, name] of names.entries()) {
    const before = first.get(name);
    if (before === undefined) first.set(name, i);
    else
      report({
        code,
        severity: "error",
        path: pathOf(i),
        message: `A second ${what} is called '${name}'; the other is number ${before + 1} of the list.`,
      });
  }
}

function checkPins(
  pins: Readonly<Record<string, unknown>>,
  type: PartType,
  path: JsonPath,
  report: Report,
): void {
  const numbers = pinNumbersOf(type);
  if (numbers === undefined) return;
  for (const number of Object.keys(pins)) {
    if (numbers.has(number)) continue;
    report({
      code: "unknown-pin",
      severity: "error",
      path: [...path, number],
      message: `A ${type.type} has no pin '${number}'; it has ${numbers.size} pins.`,
    });
  }
}

function checkPhases(board: Board, types: PartTypeSource, report: Report): void {
  const processor = board.parts.find((part) => part.ref === board.processor);
  const behaviour = processor === undefined ? undefined : types.get(processor.type)?.behaviour;
  if (processor !== undefined && behaviour?.kind !== undefined && behaviour.kind !== "processor") {
    report({
      code: "unknown-part",
      severity: "error",
      path: ["processor"],
      message: `Part '${processor.ref}' is no processor.`,
    });
    return;
  }
  for (const [i, phase] of board.phases.entries()) {
    const path = ["phases", i, "cycle"];
    if (processor === undefined && phase.cycle !== "none") {
      report({
        code: "unknown-part",
        severity: "error",
        path,
        message: "A board without a processor has only phases of cycle 'none'.",
      });
    }
    if (behaviour?.kind !== "processor") continue;
    if (phase.cycle !== "none" && behaviour.cycles[phase.cycle] === undefined) {
      report({
        code: "unknown-phase",
        severity: "error",
        path,
        message: `The processor has no bus cycle of the kind '${phase.cycle}'.`,
      });
    }
    const lines = behaviour.address.length;
    if (phase.address !== undefined && phase.address.length !== lines) {
      const message = `The processor has ${lines} address lines; ${phase.address.length} are given.`;
      report({ code: "wrong-count", severity: "error", path: ["phases", i, "address"], message });
    }
  }
}

function checkMemory(
  board: Board,
  types: PartTypeSource,
  part: (name: string, path: JsonPath) => void,
  report: Report,
): void {
  const typeOf = new Map(board.parts.map((item) => [item.ref, item.type]));
  const range = (from: string, to: string, path: JsonPath): void => {
    if (Number.parseInt(from, 16) <= Number.parseInt(to, 16)) return;
    report({
      code: "wrong-range",
      severity: "error",
      path,
      message: `The last address ${to} is below the first, ${from}.`,
    });
  };
  for (const [i, item] of board.memory.entries()) {
    range(item.from, item.to, ["memory", i, "to"]);
    for (const [k, chip] of item.chips.entries()) {
      const path = ["memory", i, "chips", k];
      part(chip.part, [...path, "part"]);
      range(chip.from ?? item.from, chip.to ?? item.to, [...path, "to"]);
      const type = types.get(typeOf.get(chip.part) ?? "");
      if (type?.behaviour.kind !== "memory") continue;
      const count = type.behaviour.data.length;
      if (chip.bits.length === count) continue;
      const message = `A ${type.type} has ${count} data ${count === 1 ? "pin" : "pins"}; ${chip.bits.length} ${chip.bits.length === 1 ? "bit is" : "bits are"} given.`;
      report({ code: "wrong-count", severity: "error", path: [...path, "bits"], message });
    }
  }
}
