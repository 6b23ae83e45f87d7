import { type Board, type BoardPart, boardSchema } from "../../src/core/board/board.js";
import { type PartType, type PartTypePin, partTypeFileSchema } from "../../src/core/board/part-type.js";
import { readFiles, readRepositoryFile } from "../support/source-files.js";

/** Part types by name. */
export type PartTypes = ReadonlyMap<string, PartType>;

/** All part types of data/part-types; throws if a file does not fit its schema. */
export function loadPartTypes(): PartTypes {
  const types = new Map<string, PartType>();
  for (const text of readFiles("data/part-types", (path) => path.endsWith(".json")).values()) {
    for (const type of partTypeFileSchema.parse(JSON.parse(text)).types) types.set(type.type, type);
  }
  return types;
}

/** The board `data/boards/<id>.json`; throws if it does not fit the schema. */
export function loadBoard(id: string): Board {
  return boardSchema.parse(JSON.parse(readRepositoryFile(`data/boards/${id}.json`)));
}

/** One pin of a part as the board connects it. */
export interface PlacedPin {
  readonly part: BoardPart;
  readonly type: PartType;
  readonly pin: PartTypePin;
  /** `undefined` if the pin is left open. */
  readonly net: string | undefined;
}

/** Every pin of every part whose type has a pin table; a part of unknown type throws. */
export function placedPins(board: Board, types: PartTypes): PlacedPin[] {
  return board.parts.flatMap((part) => {
    const type = types.get(part.type);
    if (type === undefined) throw new RangeError(`${part.ref} is of the unknown type ${part.type}`);
    if (type.pins === "as-board") return [];
    return type.pins.map((pin) => ({ part, type, pin, net: part.pins[pin.number] }));
  });
}

/** Integrated circuits of a board: parts with a pin table and a package of at least eight pins. */
export function integratedCircuits(board: Board, types: PartTypes): BoardPart[] {
  return board.parts.filter((part) => {
    const pins = types.get(part.type)?.pins;
    return pins !== undefined && pins !== "as-board" && pins.length >= 8;
  });
}

/** Pin numbers the board uses that the part's type does not have. */
export function unknownPins(board: Board, types: PartTypes): string[] {
  return board.parts.flatMap((part) => {
    const pins = types.get(part.type)?.pins;
    if (pins === undefined) return [`${part.ref}: unknown type ${part.type}`];
    if (pins === "as-board") return [];
    const numbers = new Set(pins.map((pin) => pin.number));
    return Object.keys(part.pins)
      .filter((number) => !numbers.has(number))
      .map((number) => `${part.ref}: a ${part.type} has no pin ${number}`);
  });
}

/** Nets on which more than one output drives that cannot let go. */
export function doublyDrivenNets(board: Board, types: PartTypes): string[] {
  const drivers = new Map<string, string[]>();
  for (const { part, pin, net } of placedPins(board, types)) {
    if (pin.kind !== "out" || net === undefined) continue;
    drivers.set(net, [...(drivers.get(net) ?? []), `${part.ref}.${pin.number}`]);
  }
  return [...drivers]
    .filter(([, pins]) => pins.length > 1)
    .map(([net, pins]) => `${net}: ${pins.join(" and ")}`);
}

/** Supply pins that are open, or on a net whose voltage is outside what the part wants; ground pins not on ground. */
export function supplyFlaws(board: Board, types: PartTypes): string[] {
  const voltOf = new Map(board.rails.map((rail) => [rail.net, rail.nominalVolt]));
  return placedPins(board, types).flatMap(({ part, type, pin, net }) => {
    const at = `${part.ref}.${pin.number} (${pin.name})`;
    if (pin.kind === "ground") return net === board.ground ? [] : [`${at} is not on ground but on ${net}`];
    if (pin.kind !== "power") return [];
    const volt = net === undefined ? undefined : voltOf.get(net);
    if (volt === undefined) return [`${at} is on no rail but on ${net}`];
    const wanted = type.rails.find((rail) => rail.pin === pin.name);
    if (wanted === undefined || (volt >= wanted.minimumVolt && volt <= wanted.maximumVolt)) return [];
    return [`${at} wants ${wanted.nominalVolt} V and is on ${net}`];
  });
}

/** Inputs of logic, memories and processors that hang in the air, apart from the listed `ref.pin` ones. */
export function openInputs(board: Board, types: PartTypes, meantOpen: readonly string[]): string[] {
  return placedPins(board, types)
    .filter(({ pin, net }) => pin.kind === "in" && net === undefined)
    .map(({ part, pin }) => `${part.ref}.${pin.number}`)
    .filter((at) => !meantOpen.includes(at));
}

/** Nets with only one pin on them, apart from the listed ones: a pin meant to be open is left out instead. */
export function lonelyNets(board: Board, meantLonely: readonly string[]): string[] {
  const counts = new Map<string, number>();
  for (const part of board.parts) {
    for (const net of Object.values(part.pins)) counts.set(net, (counts.get(net) ?? 0) + 1);
  }
  return [...counts].filter(([net, count]) => count === 1 && !meantLonely.includes(net)).map(([net]) => net);
}

/** Supply rails of integrated circuits with no capacitor to ground within the distance, centre to centre. */
export function missingDecouplers(board: Board, types: PartTypes, withinMillimetre: number): string[] {
  const capacitors = board.parts.filter((part) => part.type.startsWith("capacitor-"));
  return integratedCircuits(board, types).flatMap((chip) => {
    const rails = new Set(
      placedPins(board, types)
        .filter((placed) => placed.part === chip && placed.pin.kind === "power")
        .flatMap((placed) => (placed.net === undefined ? [] : [placed.net])),
    );
    return [...rails]
      .filter(
        (rail) =>
          !capacitors.some(
            (part) => joins(part, rail, board.ground) && distance(part, chip) <= withinMillimetre,
          ),
      )
      .map((rail) => `${chip.ref}: ${rail}`);
  });
}

function joins(part: BoardPart, a: string, b: string): boolean {
  const nets = Object.values(part.pins);
  return nets.includes(a) && nets.includes(b);
}

/** Distance of two parts in millimetres, centre to centre. */
export function distance(a: BoardPart, b: BoardPart): number {
  return Math.hypot(a.xMillimetre - b.xMillimetre, a.yMillimetre - b.yMillimetre);
}

/** Parts whose centre lies outside the outline, and parts that share their centre with another. */
export function misplacedParts(board: Board): string[] {
  const { widthMillimetre, heightMillimetre } = board.outline;
  const seen = new Map<string, string>();
  return board.parts.flatMap((part) => {
    const { xMillimetre: x, yMillimetre: y } = part;
    if (x < 0 || x > widthMillimetre || y < 0 || y > heightMillimetre)
      return [`${part.ref} is off the board`];
    const other = seen.get(`${x},${y}`);
    seen.set(`${x},${y}`, part.ref);
    return other === undefined ? [] : [`${part.ref} sits on ${other}`];
  });
}

/** Regions of the memory map that overlap within one space, and data bits that a region leaves without a chip. */
export function memoryMapFlaws(board: Board, dataBits: number): string[] {
  const number = (hex: string): number => Number.parseInt(hex, 16);
  const flaws: string[] = [];
  for (const [i, region] of board.memory.entries()) {
    for (const other of board.memory.slice(i + 1)) {
      if (other.space !== region.space) continue;
      if (number(other.from) <= number(region.to) && number(region.from) <= number(other.to))
        flaws.push(`${region.id} and ${other.id} overlap`);
    }
    for (let bit = 0; bit < dataBits; bit += 1) {
      const spans = region.chips
        .filter((chip) => chip.bits.includes(bit))
        .map((chip) => ({ from: number(chip.from ?? region.from), to: number(chip.to ?? region.to) }))
        .sort((a, b) => a.from - b.from);
      let next = number(region.from);
      for (const span of spans) {
        if (span.from < next)
          flaws.push(`${region.id}: two chips hold bit ${bit} of ${span.from.toString(16)}`);
        if (span.from <= next) next = Math.max(next, span.to + 1);
      }
      if (next <= number(region.to))
        flaws.push(`${region.id}: no chip holds bit ${bit} of ${next.toString(16)}`);
    }
  }
  return flaws;
}

/** Nets, parts, phases and regions the board names outside its parts list that do not exist. */
export function unknownNames(board: Board): string[] {
  const nets = new Set([board.ground, ...board.parts.flatMap((part) => Object.values(part.pins))]);
  const refs = new Set(board.parts.map((part) => part.ref));
  const phases = new Set(board.phases.map((phase) => phase.id));
  const { picture, sound, keys, tape, lamp } = board.chain;
  const named: (readonly [ReadonlySet<string>, readonly string[] | undefined])[] = [
    [nets, board.rails.map((rail) => rail.net)],
    [nets, Object.keys(board.steady)],
    [nets, board.phases.flatMap((phase) => Object.keys(phase.levels ?? {}))],
    [nets, picture && [...picture.sync, ...picture.border, ...picture.content, ...picture.output]],
    [nets, picture?.characterBits],
    [nets, [...(sound?.nets ?? []), ...(keys?.drive ?? []), ...(keys?.sense ?? []), ...(lamp ?? [])]],
    [nets, tape && [...tape.input, ...tape.output, ...tape.motor]],
    [
      refs,
      [
        ...(picture?.generator ?? []),
        ...board.memory.flatMap((region) => region.chips.map((chip) => chip.part)),
      ],
    ],
    [refs, board.processor === undefined ? [] : [board.processor]],
    [phases, board.parts.flatMap((part) => part.samplesIn ?? [])],
    [new Set(board.memory.map((region) => region.id)), picture?.memory],
  ];
  return named.flatMap(([known, names]) => (names ?? []).filter((name) => !known.has(name)));
}

/** Nets of a part by pin name; pins left open are absent. Throws `RangeError` for an unknown part or type. */
export function netsByPinName(board: Board, types: PartTypes, ref: string): Record<string, string> {
  const part = board.parts.find((candidate) => candidate.ref === ref);
  if (part === undefined) throw new RangeError(`no part ${ref}`);
  const type = types.get(part.type);
  if (type === undefined) throw new RangeError(`${ref} is of the unknown type ${part.type}`);
  if (type.pins === "as-board") return { ...part.pins };
  return Object.fromEntries(
    type.pins.flatMap(({ name, number }) => {
      const net = part.pins[number];
      return net === undefined ? [] : [[name, net]];
    }),
  );
}
