import type { Wiring } from "../settle/circuit.js";
import type { Engine } from "../settle/engine.js";
import { planeShift, unionOf } from "../settle/planes.js";
import { isWrong, Level, levelMask, moves } from "../settle/value.js";
import { Look, type Path, pathOf } from "./look.js";

/** The machine as its user meets it, one state for each thing that can be seen or heard; names as in data/find/model.json. */
export const machineStates = {
  picture: [
    "normal",
    "dark",
    "torn",
    "unprogrammed",
    "blank-in-border",
    "blank",
    "never-filled",
    "stopped-late",
    "some-bits-wrong",
    "some-cells-wrong",
    "all-wrong",
    "border-lost",
  ],
  sound: ["beeps", "silent", "noise", "chirps"],
  keys: ["work", "none", "some-dead", "wrong"],
  reaction: ["alive", "deaf", "lifeless"],
  "memory-figure": ["right", "less", "none"],
  tape: ["works", "no-signal", "no-motor", "lifeless"],
  lamp: ["lit", "dim", "dark"],
  whole: ["works", "fails"],
} as const;

export type MachineObservable = keyof typeof machineStates;
export const machineObservables = [
  "picture",
  "sound",
  "keys",
  "reaction",
  "memory-figure",
  "tape",
  "lamp",
  "whole",
] as const satisfies readonly MachineObservable[];

/** State of each observable, by name, or undefined where the board has no such thing. */
export type MachineView = { [K in MachineObservable]: (typeof machineStates)[K][number] | undefined };

/** Reads off a settled board what its user sees and hears: a chain from supply and sync to picture, sound and keys. */
export class MachineViewer {
  private readonly wiring: Wiring;
  private readonly picture: Readonly<
    Record<"sync" | "border" | "content" | "output" | "characterBits", Path>
  >;
  /** Content nets behind the fetched bits that move on the healthy board. */
  private readonly behindBits: readonly number[];
  private readonly sound: Path;
  private readonly drive: Path;
  private readonly sense: Path;
  private readonly tape: Readonly<Record<"input" | "output" | "motor", Path>>;
  private readonly lamp: Path;
  private readonly memories: readonly number[];
  private readonly rams: readonly number[];
  private readonly speakers: readonly number[];
  private readonly lamps: readonly number[];
  private readonly dataPins: readonly number[];
  private readonly keyPhases: number;
  /** What has to be right on a board of which nothing is described that its user sees or hears; else nothing. */
  private readonly undescribed: Path;

  /** @param engine of the board; its healthy state must have been found */
  constructor({ wiring, healthy, allPhases }: Engine) {
    this.wiring = wiring;
    const { picture, sound, keys, tape, lamp } = wiring.board.chain;
    const path = (names: readonly string[] | undefined): Path => pathOf(wiring, names ?? []);
    this.picture = {
      sync: path(picture?.sync),
      border: path(picture?.border),
      content: path(picture?.content),
      output: path(picture?.output),
      characterBits: path(picture?.characterBits),
    };
    const bits = new Set(picture?.characterBits);
    const content = picture?.content ?? [];
    const behind = path(content.slice(content.findLastIndex((net) => bits.has(net)) + 1)).nets;
    this.behindBits = behind.filter((net) => moves(unionOf(healthy, net << planeShift, allPhases)));
    this.sound = path(sound?.nets);
    this.drive = path(keys?.drive);
    this.sense = path(keys?.sense);
    this.tape = { input: path(tape?.input), output: path(tape?.output), motor: path(tape?.motor) };
    this.lamp = path(lamp);
    const partsWhere = (wanted: (part: Wiring["parts"][number]) => boolean): number[] =>
      wiring.parts.filter(wanted).map((part) => part.index);
    this.memories = partsWhere((part) => part.type.behaviour.kind === "memory");
    this.rams = partsWhere(({ type: { behaviour: b } }) => b.kind === "memory" && b.content === "ram");
    this.speakers = partsWhere((part) => part.type.family === "loudspeaker");
    this.lamps = partsWhere((part) => part.type.family === "led");
    this.dataPins = processorDataPins(wiring);
    this.keyPhases = phasesNamed(wiring, keys?.readIn ?? []);
    const described = [picture, sound, keys, tape].some((thing) => thing !== undefined);
    this.undescribed = path(described ? [] : outsideNets(wiring));
  }

  /**
   * What the user meets.
   * @param engine the settled board
   * @param seen what an instrument sees on each net of that board, net 0 at `at`
   */
  view(engine: Engine, seen: Uint8Array, at: number): MachineView {
    const look = new Look(engine, seen, at);
    const chain = this.wiring.board.chain;
    const running = engine.processorState === "running";
    const started = running || engine.processorState.startsWith("late");
    const picture = chain.picture === undefined ? undefined : this.viewPicture(look, started);
    const sound = chain.sound === undefined ? undefined : this.viewSound(look, started);
    const keys = chain.keys === undefined ? undefined : this.viewKeys(look, running);
    const reaction =
      keys === undefined ? undefined : !running ? "lifeless" : keys === "none" ? "deaf" : "alive";
    const unseen = !running || (picture !== undefined && !readable(picture));
    const fewer = look.anyFault(this.rams, "someCells");
    const figure = !chain.memoryFigure ? undefined : unseen ? "none" : fewer ? "less" : "right";
    const tape = chain.tape === undefined ? undefined : this.viewTape(look, running);
    const lamp = chain.lamp === undefined ? undefined : this.viewLamp(look);
    const fine =
      running &&
      (picture === undefined || picture === "normal") &&
      (sound === undefined || sound === "beeps" || chain.sound?.startBeep === false) &&
      (keys === undefined || keys === "work") &&
      (figure === undefined || figure === "right") &&
      (tape === undefined || tape === "works") &&
      (lamp === undefined || lamp === "lit") &&
      this.outsideRight(look, fewer);
    return {
      picture,
      sound,
      keys,
      reaction,
      "memory-figure": figure,
      tape,
      lamp,
      whole: fine ? "works" : "fails",
    };
  }

  /** What leaves a board that has nothing to see or hear: all its information right, all its rails good, all its pins on. */
  private outsideRight(look: Look, badCells: boolean): boolean {
    const { nets } = this.undescribed;
    if (nets.length === 0) return true;
    const good = (net: number): boolean =>
      this.wiring.netDuty[net] === 1 ? look.levelOf(net) === Level.railGood : !isWrong(look.at(net));
    return !badCells && nets.every(good) && !look.cut(this.undescribed);
  }

  private viewPicture(look: Look, started: boolean): (typeof machineStates)["picture"][number] {
    const { sync, border, content, output, characterBits } = this.picture;
    const running = look.engine.processorState === "running";
    if (look.cut(output) || !look.anyMoves(output.nets)) return "dark";
    if (look.countWrong(sync.nets) > 0) return "torn";
    if (this.wiring.board.chain.picture?.needsProgram === true && !started) return "unprogrammed";
    const borderRight = look.countWrong(border.nets) === 0;
    if (this.pictureStandsStill(look)) return borderRight ? "blank-in-border" : "blank";
    if (look.countWrong(content.nets) === 0)
      return borderRight ? (running ? "normal" : "stopped-late") : "border-lost";
    if (!started) return "never-filled";
    if (!running) return "stopped-late";
    if (look.anyFault(this.memories, "someCells")) return "some-cells-wrong";
    const bits = characterBits.nets;
    const wrongBits = look.countWrong(bits);
    return bits.length > 0 && wrongBits < Math.max(2, bits.length / 2) ? "some-bits-wrong" : "all-wrong";
  }

  /**
   * True if the picture's content is the same everywhere: no fetched bit moves, or the way behind them
   * (shift register, gates) stands still though the healthy one moves.
   */
  private pictureStandsStill(look: Look): boolean {
    const bits = this.picture.characterBits.nets;
    if (bits.length > 0 && !look.anyMoves(bits)) return true;
    return this.behindBits.some((net) => !moves(look.at(net)));
  }

  private viewSound(look: Look, started: boolean): (typeof machineStates)["sound"][number] {
    const { nets } = this.sound;
    if (look.anyFault(this.speakers, "silent") || look.cut(this.sound)) return "silent";
    const last = nets.at(-1);
    if (last === undefined || !moves(look.at(last))) return "silent";
    const wrong = look.countWrong(nets) > 0;
    if (!started) return wrong ? "chirps" : "silent";
    if (wrong) return "noise";
    return this.wiring.board.chain.sound?.startBeep === true ? "beeps" : "silent";
  }

  private viewKeys(look: Look, running: boolean): (typeof machineStates)["keys"][number] {
    if (!running) return "none";
    const lines = this.drive.nets.length + this.sense.nets.length;
    const dead = look.deadLines(this.drive) + look.deadLines(this.sense);
    if (dead === 0)
      return (look.engine.pins.anyWrongPhases(this.dataPins) & this.keyPhases) !== 0 ? "wrong" : "work";
    if (dead === lines) return "none";
    const heldLow = this.sense.nets.some(
      (net) => isWrong(look.at(net)) && (look.at(net) & levelMask) === Level.low,
    );
    return heldLow ? "wrong" : "some-dead";
  }

  private viewTape(look: Look, running: boolean): (typeof machineStates)["tape"][number] {
    if (!running) return "lifeless";
    const { input, output, motor } = this.tape;
    if (look.countWrong(motor.nets) > 0) return "no-motor";
    const wrong = look.countWrong(input.nets) + look.countWrong(output.nets) > 0;
    return wrong || look.cut(input) ? "no-signal" : "works";
  }

  private viewLamp(look: Look): (typeof machineStates)["lamp"][number] {
    const { nets } = this.lamp;
    const dark =
      look.anyFault(this.lamps, "silent") || nets.some((net) => look.levelOf(net) === Level.railAbsent);
    if (dark) return "dark";
    return nets.some((net) => look.levelOf(net) === Level.railLow) ? "dim" : "lit";
  }
}

function processorDataPins(wiring: Wiring): number[] {
  const processor = wiring.parts.find((part) => part.type.behaviour.kind === "processor");
  const behaviour = processor?.type.behaviour;
  if (processor === undefined || behaviour?.kind !== "processor") return [];
  const names = new Set(behaviour.data);
  return processor.pins.filter((pin) => names.has(wiring.pins[pin]?.name ?? ""));
}

/** Nets at connectors, without ground; of a board without connectors, all nets. */
function outsideNets(wiring: Wiring): string[] {
  const atConnector = wiring.nets.filter((_, net) =>
    (wiring.netPins[net] ?? []).some((pin) => {
      const part = wiring.parts[wiring.pins[pin]?.part ?? -1];
      return part?.type.family === "connector";
    }),
  );
  const nets = atConnector.length > 0 ? atConnector : wiring.nets;
  return nets.filter((name) => name !== wiring.board.ground);
}

function phasesNamed(wiring: Wiring, ids: readonly string[]): number {
  let phases = 0;
  for (const [k, phase] of wiring.board.phases.entries()) if (ids.includes(phase.id)) phases |= 1 << k;
  return phases;
}

function readable(picture: string): boolean {
  return (
    picture === "normal" ||
    picture === "some-cells-wrong" ||
    picture === "border-lost" ||
    picture === "some-bits-wrong"
  );
}

/** What the user of a settled board meets. To look at many, keep a `MachineViewer`. */
export function viewMachine(engine: Engine): MachineView {
  const seen = Uint8Array.from(engine.wiring.nets, (_, net) => engine.unionOf(net));
  return new MachineViewer(engine).view(engine, seen, 0);
}
