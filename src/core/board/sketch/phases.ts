import type { Blocks } from "./blocks.js";
import type { SketchBuilder } from "./builder.js";
import type { MainMemory } from "./main-memory.js";
import type { Device, PlacedDevice } from "./memory-map.js";
import type { Bus } from "./processor.js";
import type { ScreenMemory } from "./screen-memory.js";
import type { SketchPhase } from "./sketch-part.js";

/** So many phases a board may have (see the settling engine's planes). */
const mostPhases = 30;

/** What there is to be read and written. */
export interface PhaseContext {
  readonly blocks: Blocks;
  readonly bus: Bus;
  readonly placed: ReadonlyMap<string, PlacedDevice>;
  readonly roms: readonly Device[];
  readonly mains: readonly MainMemory[];
  readonly screens: readonly ScreenMemory[];
  readonly small: readonly Device[];
  /** The picture is fetched from the main memory. */
  readonly shares: boolean;
}

/**
 * Adds a phase for each transfer the machine makes, those without which it does not run first; transfers beyond the
 * bound are left out. Returns the phases in which the picture fetches.
 */
export function addPhases(builder: SketchBuilder, context: PhaseContext): string[] {
  const { bus, placed, roms, mains, screens, small, shares, blocks } = context;
  const all: SketchPhase[] = [];
  const add = (phase: Partial<SketchPhase> & Pick<SketchPhase, "id" | "title" | "cycle">): void => {
    all.push({ selects: [], video: false, ...phase });
  };
  const transfer = (
    device: Device,
    verb: "fetch" | "read" | "write",
    needed: NonNullable<SketchPhase["needed"]>,
    title: string,
  ): void => {
    const place = placed.get(device.id);
    if (place === undefined) return;
    const { pattern, select, space } = place;
    const cycle = verb === "fetch" ? "fetch" : (`${space === "io" ? "io" : "memory"}-${verb}` as const);
    add({ id: `${device.id}-${verb}`, title, cycle, address: pattern, needed, selects: [select] });
  };
  add({ id: "idle", title: "Between two transfers", cycle: "idle" });
  if (blocks.video.by !== "none")
    add({ id: "picture", title: "The picture fetches a byte", cycle: "idle", video: true });
  if (bus.refreshes)
    add({ id: "refresh", title: "The processor refreshes a row of memory", cycle: "refresh" });
  roms.forEach((rom, i) => {
    if (i === 0) transfer(rom, "fetch", "start-code", "Instruction from the ROM it starts in");
    else transfer(rom, "read", i < 3 ? "workspace" : "later", `Byte from ROM ${i + 1}`);
  });
  const banks = mains.flatMap(({ devices }) => devices);
  const [first, ...others] = banks;
  if (first !== undefined) {
    transfer(first, "read", "workspace", "Stack and variables read");
    transfer(first, "write", "workspace", "Stack and variables written");
  }
  for (const { device } of screens) {
    transfer(device, "write", "later", "Screen or colour memory written");
    transfer(device, "read", "later", "Screen or colour memory read back");
  }
  for (const device of small.filter(({ kind }) => kind === "io")) {
    transfer(device, "write", "later", `${device.id} written`);
    transfer(device, "read", "later", `${device.id} read`);
  }
  for (const device of others) {
    transfer(device, "read", "later", `${device.id} read`);
    transfer(device, "write", "later", `${device.id} written`);
  }
  const kept = all.slice(0, mostPhases);
  for (const phase of kept) builder.addPhase(phase);
  return shares || blocks.video.by !== "none" ? kept.filter(({ video }) => video).map(({ id }) => id) : [];
}
