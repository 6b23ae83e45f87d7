import type { PictureChain } from "../../board/board.js";
import type { Engine, ProcessorState } from "../settle/engine.js";
import { isWrong, Level, levelMask, moves, unionOverPhases } from "../settle/value.js";

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
export function viewMachine(engine: Engine): MachineView {
  const chain = engine.wiring.board.chain;
  const running = engine.processorState === "running";
  const started = running || engine.processorState.startsWith("late");
  const picture = chain.picture === undefined ? undefined : viewPicture(engine);
  const sound = chain.sound === undefined ? undefined : viewSound(engine, started);
  const keys = chain.keys === undefined ? undefined : viewKeys(engine, running);
  const reaction =
    keys === undefined ? undefined : !running ? "lifeless" : keys === "none" ? "deaf" : "alive";
  const cells = engine.partFaults.some((fault, part) => fault?.someCells === true && isRam(engine, part));
  const figure = !chain.memoryFigure
    ? undefined
    : !running || (picture !== undefined && !readable(picture))
      ? "none"
      : cells
        ? "less"
        : "right";
  const tape = chain.tape === undefined ? undefined : viewTape(engine, running);
  const lamp = chain.lamp === undefined ? undefined : viewLamp(engine);
  const fine =
    running &&
    [
      picture === undefined || picture === "normal",
      sound === undefined || sound === "beeps" || chain.sound?.startBeep === false,
    ]
      .concat([keys === undefined || keys === "work", figure === undefined || figure === "right"])
      .concat([tape === undefined || tape === "works", lamp === undefined || lamp === "lit"])
      .every(Boolean);
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

function isRam(engine: Engine, part: number): boolean {
  const behaviour = engine.wiring.parts[part]?.type.behaviour;
  return behaviour?.kind === "memory" && behaviour.content === "ram";
}

function readable(picture: string): boolean {
  return (
    picture === "normal" ||
    picture === "some-cells-wrong" ||
    picture === "border-lost" ||
    picture === "some-bits-wrong"
  );
}

function unions(engine: Engine, nets: readonly string[]): number[] {
  return nets.map((name) => {
    const net = engine.wiring.netIndex.get(name);
    if (net === undefined) return Level.floating;
    return unionOverPhases(engine.values, net * engine.phaseCount, engine.phaseCount);
  });
}

function viewPicture(engine: Engine): (typeof machineStates)["picture"][number] {
  const chain = engine.wiring.board.chain.picture;
  if (chain === undefined) return "normal";
  const state: ProcessorState = engine.processorState;
  const output = unions(engine, chain.output);
  const contactLost = cutAtConnector(engine, chain.output);
  if (contactLost || !output.some(moves)) return "dark";
  const sync = unions(engine, chain.sync);
  if (sync.some(isWrong)) return "torn";
  const started = state === "running" || state.startsWith("late");
  if (chain.needsProgram && !started) return "unprogrammed";
  const border = unions(engine, chain.border);
  const borderRight = !border.some(isWrong);
  const content = unions(engine, chain.content);
  if (pictureStandsStill(engine, chain)) return borderRight ? "blank-in-border" : "blank";
  if (!content.some(isWrong))
    return borderRight ? (state === "running" ? "normal" : "stopped-late") : "border-lost";
  if (!started) return "never-filled";
  if (state !== "running") return "stopped-late";
  if (engine.partFaults.some((fault) => fault?.someCells === true)) return "some-cells-wrong";
  const bits = unions(engine, chain.characterBits);
  const wrongBits = bits.filter(isWrong).length;
  return bits.length > 0 && wrongBits < Math.max(2, bits.length / 2) ? "some-bits-wrong" : "all-wrong";
}

/**
 * True if the picture's content is the same everywhere: no fetched bit moves, or the way behind them
 * (shift register, gates) stands still though the healthy one moves.
 */
function pictureStandsStill(engine: Engine, chain: PictureChain): boolean {
  const bits = unions(engine, chain.characterBits);
  if (bits.length > 0 && !bits.some(moves)) return true;
  const after = chain.content.slice(
    chain.content.findLastIndex((net) => chain.characterBits.includes(net)) + 1,
  );
  return after.some((name) => {
    const net = engine.wiring.netIndex.get(name);
    if (net === undefined) return false;
    const at = net * engine.phaseCount;
    return (
      moves(unionOverPhases(engine.healthy, at, engine.phaseCount)) &&
      !moves(unionOverPhases(engine.values, at, engine.phaseCount))
    );
  });
}

/** True if a connector pin on one of the nets is cut off: the signal is there but does not leave the board. */
function cutAtConnector(engine: Engine, nets: readonly string[]): boolean {
  return nets.some((name) => {
    const net = engine.wiring.netIndex.get(name);
    return (engine.wiring.netPins[net ?? -1] ?? []).some((pin) => {
      const part = engine.wiring.parts[engine.wiring.pins[pin]?.part ?? -1];
      return part?.type.family === "connector" && (engine.pinForce[pin] as number) >= 0;
    });
  });
}

function viewSound(engine: Engine, started: boolean): (typeof machineStates)["sound"][number] {
  const chain = engine.wiring.board.chain.sound;
  const values = unions(engine, chain?.nets ?? []);
  const speakerDead = engine.wiring.parts.some(
    (part) => part.type.family === "loudspeaker" && engine.partFaults[part.index]?.silent === true,
  );
  if (speakerDead || cutAtConnector(engine, chain?.nets ?? [])) return "silent";
  const last = values[values.length - 1] ?? Level.floating;
  if (!moves(last)) return "silent";
  if (started) return values.some(isWrong) ? "noise" : chain?.startBeep === true ? "beeps" : "silent";
  return values.some(isWrong) ? "chirps" : "silent";
}

function viewKeys(engine: Engine, running: boolean): (typeof machineStates)["keys"][number] {
  if (!running) return "none";
  const chain = engine.wiring.board.chain.keys;
  const lines = [...(chain?.drive ?? []), ...(chain?.sense ?? [])];
  const values = unions(engine, lines);
  const cut = lines.map((name) => keyboardCut(engine, name));
  const dead = values.filter((value, i) => isWrong(value) || cut[i] === true).length;
  const ioWrong = ioReadsWrong(engine);
  if (dead === 0) return ioWrong ? "wrong" : "work";
  if (dead === lines.length) return "none";
  const sense = chain?.sense ?? [];
  const heldLow = unions(engine, sense).some((value) => isWrong(value) && (value & levelMask) === Level.low);
  return heldLow ? "wrong" : "some-dead";
}

/** True if the keyboard's own contact on a matrix line is open, or a plug on the way to it. */
function keyboardCut(engine: Engine, name: string): boolean {
  const net = engine.wiring.netIndex.get(name);
  return (engine.wiring.netPins[net ?? -1] ?? []).some((pin) => {
    const family = engine.wiring.parts[engine.wiring.pins[pin]?.part ?? -1]?.type.family;
    return (family === "keyboard" || family === "connector") && (engine.pinForce[pin] as number) >= 0;
  });
}

/** True if the processor reads wrong data in the phases in which it reads the keys. */
function ioReadsWrong(engine: Engine): boolean {
  const processor = engine.wiring.parts.find((part) => part.type.behaviour.kind === "processor");
  const behaviour = processor?.type.behaviour;
  if (processor === undefined || behaviour?.kind !== "processor") return false;
  const names = new Set(behaviour.data);
  const readIn = engine.wiring.board.chain.keys?.readIn ?? [];
  const pins = processor.pins.filter((pin) => names.has(engine.wiring.pins[pin]?.name ?? ""));
  return engine.wiring.board.phases.some((phase, k) => {
    return readIn.includes(phase.id) && pins.some((pin) => engine.pinWrong(pin, k));
  });
}

function viewTape(engine: Engine, running: boolean): (typeof machineStates)["tape"][number] {
  if (!running) return "lifeless";
  const chain = engine.wiring.board.chain.tape;
  if (unions(engine, chain?.motor ?? []).some(isWrong)) return "no-motor";
  const wrong = [...unions(engine, chain?.input ?? []), ...unions(engine, chain?.output ?? [])].some(isWrong);
  return wrong || cutAtConnector(engine, chain?.input ?? []) ? "no-signal" : "works";
}

function viewLamp(engine: Engine): (typeof machineStates)["lamp"][number] {
  const values = unions(engine, engine.wiring.board.chain.lamp ?? []);
  const ledDead = engine.wiring.parts.some(
    (part) => part.type.family === "led" && engine.partFaults[part.index]?.silent === true,
  );
  if (ledDead || values.some((value) => (value & levelMask) === Level.railAbsent)) return "dark";
  return values.some((value) => (value & levelMask) === Level.railLow) ? "dim" : "lit";
}
