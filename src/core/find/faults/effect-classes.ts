import { machineObservables } from "../table/chain.js";
import type { EffectTable } from "../table/effect-table.js";

/** Class of each effect: equal numbers for effects whose rows show the same on every net and in the whole machine. */
export function grouped(table: EffectTable, effectCount: number): Int32Array {
  const classes = new Int32Array(effectCount);
  const byHash = new Map<number, number[]>();
  for (let effect = 0; effect < effectCount; effect += 1) {
    const hash = hashRows(table, effect);
    const same = byHash.get(hash) ?? [];
    const twin = same.find((other) => equalRows(table, effect, other));
    classes[effect] = twin ?? effect;
    if (twin === undefined) byHash.set(hash, [...same, effect]);
  }
  return classes;
}

function hashRows(table: EffectTable, effect: number): number {
  const { netCount, nets, machine } = table;
  const width = machineObservables.length;
  let hash = 0x811c9dc5;
  const from = table.firstRow[effect] as number;
  const to = table.firstRow[effect + 1] as number;
  for (let i = from * netCount; i < to * netCount; i += 1)
    hash = Math.imul(hash ^ (nets[i] as number), 0x01000193);
  for (let i = from * width; i < to * width; i += 1)
    hash = Math.imul(hash ^ (machine[i] as number), 0x01000193);
  return hash;
}

function equalRows(table: EffectTable, first: number, second: number): boolean {
  const { netCount, nets, machine, firstRow } = table;
  const width = machineObservables.length;
  const a = firstRow[first] as number;
  const b = firstRow[second] as number;
  const count = (firstRow[first + 1] as number) - a;
  if (count !== (firstRow[second + 1] as number) - b) return false;
  for (let i = 0; i < count * netCount; i += 1)
    if (nets[a * netCount + i] !== nets[b * netCount + i]) return false;
  for (let i = 0; i < count * width; i += 1)
    if (machine[a * width + i] !== machine[b * width + i]) return false;
  return true;
}
