import { createRandom } from "../../base/random.js";
import type { MemoryArray } from "../map/memory-map.js";

const memoryWords = 65_536;
const startSeed = 16;

/**
 * What each word of a memory holds after power comes up. Dynamic cells wake up without charge; in one half of the rows
 * they are read the other way round, as chips with their amplifiers in the middle store them, and the highest row bit is
 * taken to choose the half (from memory; chips differ). What static cells hold is drawn from a fixed seed.
 */
export function startWords(array: MemoryArray): Uint16Array {
  const words = new Uint16Array(memoryWords);
  const all = array.bits.reduce((mask, { bit }) => mask | (1 << bit), 0);
  if (array.refreshRows === undefined) {
    const random = createRandom(startSeed);
    for (let address = 0; address < memoryWords; address += 1) words[address] = random.below(all + 1);
    return words;
  }
  const top = array.lines.at(-1)?.way.row?.bit;
  for (let address = 0; address < memoryWords; address += 1)
    words[address] = top !== undefined && (address >> top) & 1 ? all : 0;
  return words;
}
