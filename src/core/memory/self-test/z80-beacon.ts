import { beaconUnits, messageCopies } from "./beacon.js";
import type { PortBeacon, SelfTestPlan } from "./plan.js";
import { type CodeZ80, cyclesOf, idle } from "./z80-code.js";
import { hexZ80 } from "./z80-instructions.js";

/**
 * The routine `send`: sends the signal byte in A over all beacons, then writes its words on the screen. Uses A to E, H, L
 * and the second A; keeps the others.
 */
export function addSend(code: CodeZ80, plan: SelfTestPlan): void {
  const ports = portGroups(plan.ports);
  const touch =
    plan.bus.space === "io"
      ? `in a,(${hexZ80(plan.bus.address & 0xff, 2)})`
      : `ld a,(${hexZ80(plan.bus.address, 4)})`;
  const tail = ["dec hl", "ld a,h", "or l"];
  const silent = cyclesOf([touch, ...tail, "jp nz,0"]);
  const sounding = ports.filter(({ high, low }) => high !== low);
  const soundCycles = sounding.length * cyclesOf(soundOf(ports[0], 1));
  const roundCycles = silent + soundCycles;
  const rounds = Math.round((plan.unitSeconds * plan.clockHertz) / roundCycles);
  // About 1 kHz: the level follows a bit of the counter of rounds.
  const halfPeriod = plan.clockHertz / 2000 / roundCycles;
  const toggleBit = 2 ** Math.max(0, Math.min(7, Math.round(Math.log2(halfPeriod))));

  code.label("send", "A: signals from bit 7 down, then a one, then zeros");
  code.add(["ex af,af'", `ld d,${messageCopies + 1}`, "ld e,80h"], "the second A keeps the signals");
  code.add([`ld b,${beaconUnits.start}`, `ld c,${beaconUnits.pause}`], "start mark");
  code.label("send_on");
  for (const { write, high, low } of ports) if (high === low) code.add([`ld a,${hexZ80(high, 2)}`, write]);
  addBand(code, plan, "on");
  code.label("send_on_unit");
  code.add(`ld hl,${rounds}`, `${rounds} rounds of ${roundCycles} cycles are one unit`);
  code.label("send_on_round");
  code.add(touch, `beacon: ${plan.bus.part} pin ${plan.bus.pin}`);
  for (const port of sounding) code.add(soundOf(port, toggleBit), "about 1 kHz");
  code.add([...tail, "jp nz,send_on_round", "dec b", "jp nz,send_on_unit"]);
  for (const { write, off } of ports) code.add([`ld a,${hexZ80(off, 2)}`, write], "off");
  addBand(code, plan, "off");
  code.label("send_off_unit");
  code.add(`ld hl,${rounds}`);
  code.label("send_off_round");
  code.add(idle(cyclesOf([touch]) + soundCycles), "silence, in rounds of the same length");
  code.add([...tail, "jp nz,send_off_round", "dec c", "jp nz,send_off_unit"]);
  code.add(["ld a,e", "cp 80h", "jr nz,send_signal"], "only the end mark left?");
  code.add(["dec d", "jp z,send_words", "ex af,af'", "ld e,a", "ex af,af'"], "the next copy");
  code.label("send_signal");
  code.add(
    ["sla e", `ld b,${beaconUnits.short}`, "jr nc,send_length", `ld b,${beaconUnits.long}`],
    "carry: long",
  );
  code.label("send_length");
  code.add([`ld c,${beaconUnits.gap}`, "ld a,e", "cp 80h", "jp nz,send_on"]);
  code.add([`ld c,${beaconUnits.pause}`, "jp send_on"], "longer silence behind the last signal");
  code.label("send_words");
  addWords(code, plan, [`ld hl,${rounds}`, ...idle(cyclesOf([touch]) + soundCycles), ...tail]);
  code.add("jp (iy)");
}

interface PortGroup {
  readonly write: string;
  /** Bytes while on; for sound they take turns. */
  readonly high: number;
  readonly low: number;
  readonly off: number;
}

/** Beacons that share an address are written as one byte. */
function portGroups(ports: readonly PortBeacon[]): PortGroup[] {
  const keys = new Set(ports.map(({ space, address }) => `${space}:${address}`));
  return [...keys].map((key): PortGroup => {
    const own = ports.filter(({ space, address }) => `${space}:${address}` === key);
    const steady = own.filter(({ medium }) => medium !== "sound").reduce((byte, { on }) => byte | on, 0);
    const sounds = own.filter(({ medium }) => medium === "sound");
    const [first] = own;
    const address = first?.address ?? 0;
    return {
      write: first?.space === "io" ? `out (${hexZ80(address & 0xff, 2)}),a` : `ld (${hexZ80(address, 4)}),a`,
      high: sounds.reduce((byte, { on }) => byte | on, steady),
      low: sounds.reduce((byte, { off }) => byte | off, steady),
      off: own.reduce((byte, { off }) => byte | off, 0),
    };
  });
}

function soundOf(port: PortGroup | undefined, bit: number): string[] {
  if (port === undefined) return [];
  const { write, high, low } = port;
  const choose = ["ld a,l", `and ${bit}`, "add a,0FFh", "sbc a,a"];
  return [...choose, `and ${hexZ80(high ^ low, 2)}`, `xor ${hexZ80(low, 2)}`, write];
}

/** A band on a screen without words; at most a page of it is written. */
function addBand(code: CodeZ80, { screen }: SelfTestPlan, state: "on" | "off"): void {
  if (screen === undefined || screen.characters !== undefined) return;
  const end = Math.min(screen.range.to, screen.range.from + 0xff) + 1;
  const loop = code.fresh("band");
  code.add(`ld hl,${hexZ80(screen.range.from, 4)}`, screen.title);
  code.label(loop);
  code.add([
    `ld (hl),${hexZ80(screen[state], 2)}`,
    "inc hl",
    "ld a,l",
    `cp ${hexZ80(end & 0xff, 2)}`,
    `jp nz,${loop}`,
  ]);
}

/** Units for which words stay before the test goes on, and perhaps over them. */
const readingUnits = 16;

/** Words come behind the signals: a screen memory that holds the processor up must not hold the beacon up. */
function addWords(code: CodeZ80, { screen }: SelfTestPlan, unit: readonly string[]): void {
  if (screen?.characters === undefined) return;
  const end = hexZ80((screen.range.to + 1) & 0xff, 2);
  code.add(["ex af,af'", "ld c,a", "ld hl,texts"], "the words of this signal byte");
  code.label("words_find");
  code.add(["ld a,(hl)", "inc hl", "or a", "jp z,words_end", "cp c", "jp z,words_write"]);
  code.label("words_skip");
  code.add(["ld a,(hl)", "inc hl", "or a", "jp nz,words_skip", "jp words_find"]);
  code.label("words_write");
  code.add(`ld de,${hexZ80(screen.range.from, 4)}`, screen.title);
  code.label("words_letter");
  code.add(["ld a,(hl)", "or a", "jp z,words_blank", "ld (de),a", "inc hl", "inc de", "jp words_letter"]);
  code.label("words_blank");
  code.add([
    "ld a,e",
    `cp ${end}`,
    "jp z,words_end",
    `ld a,${hexZ80(screen.off, 2)}`,
    "ld (de),a",
    "inc de",
    "jp words_blank",
  ]);
  code.label("words_end");
  const [first = "", ...round] = unit;
  code.add(`ld b,${readingUnits}`, "time to read");
  code.label("words_unit");
  code.add(first);
  code.label("words_round");
  code.add([...round, "jp nz,words_round", "dec b", "jp nz,words_unit"]);
}
