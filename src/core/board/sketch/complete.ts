import type { Blocks } from "./blocks.js";
import type { SketchTypes } from "./sketch-part.js";
import type { UsualWirings } from "./usual.js";

/** Rails that the types of a description need besides those it lists. */
function neededVolts(blocks: Blocks, types: SketchTypes): number[] {
  const volts = new Set<number>();
  const names = [
    blocks.processor.type,
    ...(blocks.processor.type === "8080" ? ["8224"] : []),
    ...blocks.roms.map(({ type }) => type),
    ...blocks.ram.map(({ type }) => type),
    ...blocks.io.map(({ type }) => type),
    ...[blocks.sound?.type, blocks.video.type, blocks.video.characterRom].filter(
      (type) => type !== undefined,
    ),
    ...(blocks.video.output === "encoder" ? ["video-encoder"] : []),
  ];
  for (const name of names)
    for (const { nominalVolt } of types.get(name)?.rails ?? []) if (nominalVolt !== 0) volts.add(nominalVolt);
  return [...volts];
}

/** The type that stands for a name: itself, or its alias in data/sketch. */
export function usualType(name: string, types: SketchTypes, usual: UsualWirings): string {
  if (types.get(name) !== undefined) return name;
  return usual.aliases.find((alias) => alias.name === name)?.type ?? name;
}

/** A description with other numbers replaced by the types that stand for them, and the rails its chips need added. */
export function withUsualTypes(blocks: Blocks, types: SketchTypes, usual: UsualWirings): Blocks {
  const named = <T extends { readonly type: string }>(block: T): T => ({
    ...block,
    type: usualType(block.type, types, usual),
  });
  const { video, sound } = blocks;
  const renamed: Blocks = {
    ...blocks,
    roms: blocks.roms.map(named),
    ram: blocks.ram.map(named),
    io: blocks.io.map(named),
    video: {
      ...video,
      ...(video.type === undefined || video.by !== "controller"
        ? {}
        : { type: usualType(video.type, types, usual) }),
      ...(video.characterRom === undefined
        ? {}
        : { characterRom: usualType(video.characterRom, types, usual) }),
    },
    ...(sound?.type === undefined ? {} : { sound: { ...sound, type: usualType(sound.type, types, usual) } }),
  };
  const rails = [...renamed.rails];
  if (!rails.some(({ volt }) => volt === 5)) rails.unshift({ volt: 5, from: "regulator" });
  for (const volt of neededVolts(renamed, types)) {
    if (rails.some((rail) => rail.volt === volt)) continue;
    if (volt === 12 || volt === -5 || volt === -12) rails.push({ volt, from: "outside" });
  }
  return { ...renamed, rails };
}
