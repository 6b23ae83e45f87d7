import type { Blocks, CustomDuty } from "./blocks.js";
import type { SketchBuilder } from "./builder.js";
import { addBusChip, wiringOf } from "./bus-chip.js";
import type { CustomChip } from "./custom-chip.js";
import type { PlacedDevice } from "./memory-map.js";
import { wireKeyboard, wireSpeaker, wireTape } from "./outside.js";
import { PortLines, wireCustomPort, wirePlainPort, wirePortChips, wireUnknown } from "./ports.js";
import type { Bus } from "./processor.js";

/** What the lines to the outside need to know of the rest of the machine. */
export interface OutsideContext {
  readonly bus: Bus;
  readonly placed: ReadonlyMap<string, PlacedDevice>;
  readonly lines: PortLines;
  readonly dutyChip: (duty: CustomDuty) => CustomChip | undefined;
  readonly ownsLines: number;
}

/** Wires keyboard, tape and sound, the chips they end at, and the custom chips that only sit on the bus. */
export function wireOutside(builder: SketchBuilder, blocks: Blocks, context: OutsideContext): void {
  const { bus, placed, lines, dutyChip, ownsLines } = context;
  const custom = new PortLines();
  const keyChip = dutyChip("keyboard");
  // The tape is read where the keys are read: two readers at one address would fight.
  const alone = blocks.keyboard === undefined && ownsLines < 0 ? dutyChip("tape") : undefined;
  const reader = keyChip ?? alone;
  wireKeyboard(builder, blocks, keyChip === undefined ? lines : custom, keyChip !== undefined);
  wireTape(builder, blocks, reader === undefined ? lines : custom);
  wireSound(builder, blocks, context);
  const select = placed.get("port")?.select;
  if (reader !== undefined && select !== undefined) wireCustomPort(reader, bus, select, custom);
  const port = placed.get("port");
  if (ownsLines < 0 && port !== undefined) wirePlainPort(builder, bus, port, lines, "port-write");
  wirePortChips(builder, blocks, bus, placed, lines, ownsLines);
  for (const [i, block] of blocks.custom.entries()) {
    const place = placed.get(`custom-${i}`);
    if (place !== undefined)
      wireUnknown(builder, bus, block.name, {
        ref: block.ref,
        socketed: block.socketed,
        select: place.select,
      });
  }
  if (builder.chain.keys !== undefined) {
    const readIn = builder.phases.filter(
      ({ id }) => id === (ownsLines >= 0 ? `io-${ownsLines}-read` : "port-read"),
    );
    if (readIn.length > 0) builder.chain.keys = { ...builder.chain.keys, readIn: readIn.map(({ id }) => id) };
  }
}

/** Wires the loudspeaker to a line that beeps or to the outputs of a sound chip. */
function wireSound(builder: SketchBuilder, blocks: Blocks, context: OutsideContext): void {
  const { sound } = blocks;
  if (sound === undefined) return;
  const sources = soundSources(builder, sound, context);
  const [only] = sources;
  if (sources.length === 1 && only === "BEEP") {
    wireSpeaker(builder, only, sound.startBeep, []);
    return;
  }
  for (const net of sources) builder.between("resistor", "R", "1k", [net, "AUDIO MIX"], "sound");
  wireSpeaker(builder, "AUDIO MIX", sound.startBeep, sources);
}

/** Nets that carry sound: one line that beeps, or the outputs of the sound chip. */
function soundSources(
  builder: SketchBuilder,
  sound: NonNullable<Blocks["sound"]>,
  { bus, placed, lines, dutyChip }: OutsideContext,
): string[] {
  const duty = dutyChip("sound");
  const select = placed.get("sound")?.select;
  if (duty !== undefined) {
    duty.follows("BEEP", duty.clock, []);
    return ["BEEP"];
  }
  if (sound.by === "beeper" || select === undefined) {
    lines.out("BEEP");
    return ["BEEP"];
  }
  const name = sound.type ?? "sound chip";
  const audio = wiringOf(builder, name)?.audio ?? [];
  if (audio.length === 0) {
    const chip = wireUnknown(builder, bus, name, { ref: sound.ref, select });
    chip.follows("AUDIO 1", bus.nets.clock ?? chip.clock, [select]);
    return ["AUDIO 1"];
  }
  const pins = Object.fromEntries(audio.map((pin, i) => [pin, `AUDIO ${i + 1}`]));
  addBusChip(builder, bus, { type: name, section: "sound", select, ref: sound.ref, pins, known: true });
  return Object.values(pins);
}
