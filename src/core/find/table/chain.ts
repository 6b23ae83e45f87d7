import type { Wiring } from "../settle/circuit.js";
import type { Engine } from "../settle/engine.js";
import { planeShift, unionOf } from "../settle/planes.js";
import { isWrong, Level, moves } from "../settle/value.js";
import { isShiftedOut, outsideNets, phasesNamed, serialNets } from "./chain-nets.js";
import { Look, type Path, pathOf } from "./look.js";
import { Reach } from "./reach.js";
import { type ReadBack, ReadBackFinder } from "./read-back.js";

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
    "inverted",
  ],
  sound: ["beeps", "silent", "noise", "chirps"],
  keys: ["work", "none", "some-dead", "wrong"],
  reaction: ["alive", "deaf", "lifeless"],
  "memory-figure": ["right", "less", "none"],
  tape: ["works", "no-signal", "no-motor", "lifeless"],
  lamp: ["lit", "dim", "dark"],
  whole: ["works", "fails", "impaired"],
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
  /** The picture's content as one row of dots: what its shift registers put out. */
  private readonly dots: readonly number[];
  private readonly sound: Path;
  private readonly drive: Path;
  private readonly sense: Path;
  private readonly tape: Readonly<Record<"input" | "output" | "motor", Path>>;
  private readonly lamp: Path;
  private readonly memories: readonly number[];
  private readonly rams: readonly number[];
  private readonly speakers: readonly number[];
  private readonly lamps: readonly number[];
  /** How the processor reads each line of the key matrix that it senses, and the tape. */
  private readonly senseRead: readonly (readonly ReadBack[])[];
  private readonly tapeRead: readonly ReadBack[];
  private readonly reach: Reach;
  /** Nets that reach the picture socket on the healthy board. */
  private readonly onPicture: ReadonlySet<number>;
  /** Nets that chips of the serial section alone make. */
  private readonly serial: readonly number[];
  private readonly isUndescribed: boolean;
  /** What has to be right on a board of which nothing is described that its user sees or hears; else nothing. */
  private readonly undescribed: Path;

  /** @param engine of the board; its healthy state must have been found */
  constructor(engine: Engine) {
    const { wiring, healthy, allPhases } = engine;
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
    this.dots = this.picture.content.nets.filter((net) => isShiftedOut(engine, net));
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
    this.lamps = partsWhere(
      (part) =>
        part.type.family === "led" &&
        part.pins.some((pin) => this.lamp.nets.includes(wiring.pins[pin]?.net ?? -1)),
    );
    const finder = new ReadBackFinder(engine);
    const keyPhases = keys?.readIn === undefined ? allPhases : phasesNamed(wiring, keys.readIn);
    this.senseRead = this.sense.nets.map((net) =>
      finder.find(net).map((way) => ({ ...way, phases: way.phases & keyPhases })),
    );
    this.tapeRead = finder.find(this.tape.input.nets.at(-1) ?? -1);
    this.reach = new Reach(engine);
    this.onPicture = this.reach.into(this.picture.output.nets);
    this.serial = serialNets(engine);
    const described = [picture, sound, keys, tape].some((thing) => thing !== undefined);
    this.isUndescribed = !described;
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
      look.countWrong(this.serial) === 0 &&
      this.outsideRight(look, fewer);
    return {
      picture,
      sound,
      keys,
      reaction,
      "memory-figure": figure,
      tape,
      lamp,
      whole: fine
        ? "works"
        : running && !this.isUndescribed && !unseen && keys !== "none"
          ? "impaired"
          : "fails",
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
    if (look.countWrong(content.nets) === 0) {
      if (!borderRight) return "border-lost";
      if (look.countWrong(output.nets) > 0) return this.viewOutput();
      return running ? "normal" : "stopped-late";
    }
    if (!started) return "never-filled";
    if (!running) return "stopped-late";
    if (look.anyFault(this.memories, "someCells")) return "some-cells-wrong";
    if (this.dotsArrive(look)) return borderRight ? "inverted" : "border-lost";
    const bits = characterBits.nets;
    const wrongBits = look.countWrong(bits);
    return bits.length > 0 && wrongBits < Math.max(2, bits.length / 2) ? "some-bits-wrong" : "all-wrong";
  }

  /**
   * True if the row of dots is right and gets through. What is wrong then is what is made of them: light and dark, or
   * where they are let through.
   */
  private dotsArrive(look: Look): boolean {
    if (this.dots.length === 0 || look.countWrong(this.dots) > 0) return false;
    const arrives = this.reach.into(this.picture.output.nets);
    return this.dots.every((net) => arrives.has(net) || !this.onPicture.has(net));
  }

  /** What is left of a picture that is right up to its last stages and wrong at its socket. */
  private viewOutput(): (typeof machineStates)["picture"][number] {
    const { sync, border, content, output } = this.picture;
    const arrives = this.reach.into(output.nets);
    const lost = (path: Path): boolean =>
      path.nets.some((net) => this.onPicture.has(net) && !arrives.has(net));
    if (lost(sync)) return "torn";
    if (lost(content)) return lost(border) ? "blank" : "blank-in-border";
    // All of it arrives, but not at the right levels: what a monitor minds first is the sync.
    return lost(border) ? "border-lost" : "torn";
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
    if (this.wiring.board.chain.sound?.startBeep !== true) return "silent";
    // Whether the beep comes before the crash is anybody's guess.
    return look.engine.processorState === "running" ? "beeps" : "chirps";
  }

  private viewKeys(look: Look, running: boolean): (typeof machineStates)["keys"][number] {
    if (!running) return "none";
    const misread = this.senseRead.map((ways) => look.misread(ways));
    const deadSense = this.sense.nets.filter(
      (_, i) => look.deadLine(this.sense, i) || misread[i] === true,
    ).length;
    const upsetDrive = this.drive.nets.filter((_, i) => look.deadLine(this.drive, i));
    if (deadSense + upsetDrive.length === 0) return "work";
    // A line that moves at the wrong time reads other keys beside its own; one that does not move reads none.
    const confused = upsetDrive.filter((net) => isWrong(look.at(net)) && moves(look.at(net)));
    if (upsetDrive.length === this.drive.nets.length && confused.length === 0) return "none";
    // A line held low reads as keys held down; one that reads high reads as keys left alone.
    const held =
      this.sense.nets.some((net) => isWrong(look.at(net)) && look.levelOf(net) === Level.low) ||
      this.senseRead.some((ways, i) => misread[i] === true && !look.misreadHigh(ways));
    if (held || confused.length > 0) return "wrong";
    return deadSense === this.sense.nets.length ? "none" : "some-dead";
  }

  private viewTape(look: Look, running: boolean): (typeof machineStates)["tape"][number] {
    if (!running) return "lifeless";
    const { input, output, motor } = this.tape;
    if (look.countWrong(motor.nets) > 0) return "no-motor";
    const wrong = look.countWrong(input.nets) + look.countWrong(output.nets) > 0;
    return wrong || look.cut(input) || look.misread(this.tapeRead) ? "no-signal" : "works";
  }

  private viewLamp(look: Look): (typeof machineStates)["lamp"][number] {
    const { nets } = this.lamp;
    // A lamp between two nets is dark if either no longer feeds or drains it.
    const unlit = (net: number): boolean => {
      const level = look.levelOf(net);
      const isRail = this.wiring.netDuty[net] === 1;
      return isRail ? level === Level.railAbsent : isWrong(look.at(net)) && !moves(look.at(net));
    };
    if (look.anyFault(this.lamps, "silent") || nets.some(unlit)) return "dark";
    return nets.some((net) => look.levelOf(net) === Level.railLow) ? "dim" : "lit";
  }
}

function readable(picture: string): boolean {
  return (
    picture === "normal" ||
    picture === "some-cells-wrong" ||
    picture === "inverted" ||
    picture === "border-lost" ||
    picture === "some-bits-wrong"
  );
}

/** What the user of a settled board meets. To look at many, keep a `MachineViewer`. */
export function viewMachine(engine: Engine): MachineView {
  const seen = Uint8Array.from(engine.wiring.nets, (_, net) => engine.unionOf(net));
  return new MachineViewer(engine).view(engine, seen, 0);
}
