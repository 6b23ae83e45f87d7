/** Longest net name a board may have. */
export const maximumNetNameLength = 120;

/**
 * A net's name as people at the bench write it: without the path of the root sheet, and with a slash in place of the
 * schematic program's overbar. `/~{CAS}` and `/~CAS` become `/CAS`, `/A0` becomes `A0`, `R/~W` becomes `R/W`.
 */
export function readableNetName(raw: string): string {
  const ownName = raw.startsWith("/") ? raw.slice(1) : raw;
  const plain = ownName
    .replace(/~\{([^{}]*)\}/g, "/$1")
    .replace(/~([^~{}]+)~?/g, "/$1")
    .replace(/\/\/+/g, "/");
  return plain === "" || plain === "/" ? raw : plain;
}

/** Readable names for many nets at once, each different and short enough; keys are the names as given. */
export function readableNetNames(raw: readonly string[]): Map<string, string> {
  const taken = new Set<string>();
  const names = new Map<string, string>();
  for (const name of raw) {
    let wanted = readableNetName(name);
    if (taken.has(wanted)) wanted = name;
    let unique = wanted.slice(0, maximumNetNameLength);
    for (let i = 2; taken.has(unique); i += 1) unique = `${wanted.slice(0, maximumNetNameLength - 8)}~${i}`;
    taken.add(unique);
    names.set(name, unique);
  }
  return names;
}
