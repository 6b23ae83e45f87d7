import type { Board } from "../board.js";

/**
 * A board on which nets go by other names: pins, levels and the chain are renamed together. Where two nets become one,
 * the levels given for the name that stays count. Supplies keep their names.
 */
export function renameNets(board: Board, renamed: ReadonlyMap<string, string>): Board {
  if (renamed.size === 0) return board;
  const name = (net: string): string => renamed.get(net) ?? net;
  const names = (nets: readonly string[]): string[] => [...new Set(nets.map(name))];
  const levels = <T>(given: Readonly<Record<string, T>>): Record<string, T> => {
    const kept = Object.entries(given).filter(([net]) => !renamed.has(net));
    const moved = Object.entries(given).flatMap(([net, level]) =>
      renamed.has(net) && !Object.hasOwn(given, name(net)) ? [[name(net), level] as const] : [],
    );
    return Object.fromEntries([...kept, ...moved]);
  };
  const { picture, sound, keys, tape, lamp } = board.chain;
  return {
    ...board,
    parts: board.parts.map((part) => ({
      ...part,
      pins: Object.fromEntries(Object.entries(part.pins).map(([pin, net]) => [pin, name(net)])),
    })),
    steady: levels(board.steady),
    phases: board.phases.map((phase) =>
      phase.levels === undefined ? phase : { ...phase, levels: levels(phase.levels) },
    ),
    chain: {
      ...board.chain,
      ...(picture === undefined
        ? {}
        : {
            picture: {
              ...picture,
              sync: names(picture.sync),
              border: names(picture.border),
              content: names(picture.content),
              output: names(picture.output),
              // Bit 0 comes first: two bits on one line are still two bits.
              characterBits: picture.characterBits.map(name),
            },
          }),
      ...(sound === undefined ? {} : { sound: { ...sound, nets: names(sound.nets) } }),
      ...(keys === undefined
        ? {}
        : { keys: { ...keys, drive: names(keys.drive), sense: names(keys.sense) } }),
      ...(tape === undefined
        ? {}
        : { tape: { input: names(tape.input), output: names(tape.output), motor: names(tape.motor) } }),
      ...(lamp === undefined ? {} : { lamp: names(lamp) }),
    },
  };
}
