/**
 * The elements still to be evaluated. They come out in order of their numbers, lowest first: numbered from inputs to
 * outputs (see order.ts), an element is evaluated once all that feeds it has come to rest.
 */
export class DueElements {
  private readonly words: Int32Array;
  private count = 0;
  /** No element is due in a word below this one. */
  private lowest = 0;

  constructor(elementCount: number) {
    this.words = new Int32Array(Math.ceil(elementCount / 32) + 1);
  }

  add(element: number): void {
    const word = element >> 5;
    const bit = 1 << (element & 31);
    const old = this.words[word] as number;
    if (old & bit) return;
    this.words[word] = old | bit;
    this.count += 1;
    if (word < this.lowest) this.lowest = word;
  }

  /** Takes out the lowest element; -1 if none is due. */
  take(): number {
    if (this.count === 0) return -1;
    let word = this.lowest;
    while (this.words[word] === 0) word += 1;
    const bits = this.words[word] as number;
    const lowestBit = bits & -bits;
    this.words[word] = bits & ~lowestBit;
    this.count -= 1;
    this.lowest = this.count === 0 ? this.words.length - 1 : word;
    return (word << 5) + 31 - Math.clz32(lowestBit);
  }
}
