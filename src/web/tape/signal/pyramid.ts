/** Samples in a cell of the lowest level. */
export const cellSamples = 64;
/** Cells that become one of the next level. */
const fan = 4;

/** Lowest and highest sample of each cell of a run of samples: `[low, high, low, high, …]`. */
export class CellMaker {
  private low = Number.POSITIVE_INFINITY;
  private high = Number.NEGATIVE_INFINITY;
  private count = 0;

  /** Cells that are complete now; a last one that is not waits for more samples. */
  push(samples: Float32Array): Float32Array {
    const cells = new Float32Array(2 * Math.floor((this.count + samples.length) / cellSamples));
    let { low, high, count } = this;
    let at = 0;
    for (let i = 0; i < samples.length; i += 1) {
      const value = samples[i] ?? 0;
      if (value < low) low = value;
      if (value > high) high = value;
      count += 1;
      if (count < cellSamples) continue;
      cells[at] = low;
      cells[at + 1] = high;
      at += 2;
      low = Number.POSITIVE_INFINITY;
      high = Number.NEGATIVE_INFINITY;
      count = 0;
    }
    Object.assign(this, { low, high, count });
    return cells;
  }

  /** The last cell, if it holds anything. */
  finish(): Float32Array {
    if (this.count === 0) return new Float32Array(0);
    this.count = 0;
    return Float32Array.of(this.low, this.high);
  }
}

/** Lowest and highest value of a stretch. */
export interface Range {
  low: number;
  high: number;
}

/**
 * Lowest and highest samples of a recording at every scale, so that an hour of it is drawn as fast as a second. It grows
 * at its end. Level 0 has a cell for every 64 samples, each further level one for four of the level below.
 */
export class Pyramid {
  private readonly levels: GrowingCells[] = [new GrowingCells()];

  /** Number of cells of the lowest level. */
  get cells(): number {
    return this.levels[0]?.count ?? 0;
  }

  /** Adds cells as `CellMaker` makes them. */
  push(cells: Float32Array): void {
    let added = cells;
    for (let level = 0; added.length > 0; level += 1) {
      let own = this.levels[level];
      if (own === undefined) {
        own = new GrowingCells();
        this.levels.push(own);
      }
      const before = Math.floor(own.count / fan);
      own.push(added);
      if (own.count < fan) return;
      added = own.joined(before, Math.floor(own.count / fan));
    }
  }

  /**
   * Range of the samples from `from` to before `to`, both in samples, widened to whole cells no longer than half of the
   * stretch where there are such; false if there are none.
   */
  rangeOf(from: number, to: number, range: Range): boolean {
    range.low = Number.POSITIVE_INFINITY;
    range.high = Number.NEGATIVE_INFINITY;
    const level = Math.max(0, Math.floor(Math.log((to - from) / (2 * cellSamples)) / Math.log(fan)));
    const cells = this.levels[Math.min(level, this.levels.length - 1)];
    if (cells === undefined) return false;
    const size = cellSamples * fan ** Math.min(level, this.levels.length - 1);
    const first = Math.max(0, Math.floor(from / size));
    // What a higher level does not hold yet, because four cells are not there, is taken from below.
    const last = Math.ceil(to / size);
    for (let i = first; i < Math.min(last, cells.count); i += 1) cells.widen(i, range);
    if (last > cells.count) this.widenTail(level - 1, Math.max(from, cells.count * size), to, range);
    return range.low <= range.high;
  }

  private widenTail(level: number, from: number, to: number, range: Range): void {
    if (level < 0) return;
    const cells = this.levels[Math.min(level, this.levels.length - 1)];
    if (cells === undefined) return;
    const size = cellSamples * fan ** Math.min(level, this.levels.length - 1);
    const last = Math.min(cells.count, Math.ceil(to / size));
    for (let i = Math.max(0, Math.floor(from / size)); i < last; i += 1) cells.widen(i, range);
    this.widenTail(level - 1, Math.max(from, cells.count * size), to, range);
  }
}

/** Cells of one level, in an array that doubles when it is full. */
class GrowingCells {
  count = 0;
  private values = new Float32Array(2048);

  push(cells: Float32Array): void {
    const needed = 2 * this.count + cells.length;
    if (needed > this.values.length) {
      const grown = new Float32Array(Math.max(needed, 2 * this.values.length));
      grown.set(this.values);
      this.values = grown;
    }
    this.values.set(cells, 2 * this.count);
    this.count += cells.length / 2;
  }

  widen(cell: number, range: Range): void {
    const low = this.values[2 * cell] ?? 0;
    const high = this.values[2 * cell + 1] ?? 0;
    if (low < range.low) range.low = low;
    if (high > range.high) range.high = high;
  }

  /** Cells of the next level, from number `from` to before `to`. */
  joined(from: number, to: number): Float32Array {
    const out = new Float32Array(2 * (to - from));
    const range: Range = { low: 0, high: 0 };
    for (let i = from; i < to; i += 1) {
      range.low = Number.POSITIVE_INFINITY;
      range.high = Number.NEGATIVE_INFINITY;
      for (let k = 0; k < fan; k += 1) this.widen(fan * i + k, range);
      out[2 * (i - from)] = range.low;
      out[2 * (i - from) + 1] = range.high;
    }
    return out;
  }
}
