import { CycleFinder } from "./cycles.js";

/** Samples in a column of the lowest level. */
export const columnSamples = 2048;
/** Rows of a column: twelve to the octave, from the shortest interval that is counted. */
export const intervalRows = 84;
const shortestSeconds = 64e-6;
const rowsPerOctave = 12;
const fan = 4;

/** The row that an interval is counted in, with its fraction; may lie outside 0 to 84. */
export function intervalRow(seconds: number): number {
  return rowsPerOctave * Math.log2(seconds / shortestSeconds);
}

/** The shortest interval of a row. */
export function rowSeconds(row: number): number {
  return shortestSeconds * 2 ** (row / rowsPerOctave);
}

/** Counts the cycles of a recording by when they end and how long they are. */
export class IntervalCounter {
  private readonly finder: CycleFinder;
  private readonly sampleRateHz: number;
  private counts = new Uint16Array(0);
  private first = 0;
  private at = 0;

  constructor(sampleRateHz: number) {
    this.sampleRateHz = sampleRateHz;
    this.finder = new CycleFinder(sampleRateHz);
  }

  /** Columns that are complete now, one after the other, each `intervalRows` counts. */
  push(samples: Float32Array): Uint16Array {
    const end = this.at + samples.length;
    const columns = Math.ceil(end / columnSamples) - this.first;
    const grown = new Uint16Array(columns * intervalRows);
    grown.set(this.counts);
    this.finder.push(samples, (place, length) => {
      const row = Math.floor(intervalRow(length / this.sampleRateHz));
      if (row < 0 || row >= intervalRows) return;
      const column = Math.max(0, Math.floor(place / columnSamples) - this.first);
      const cell = column * intervalRows + row;
      grown[cell] = (grown[cell] ?? 0) + 1;
    });
    this.at = end;
    // A crossing lies up to a sample before the one that shows it, so that a column closes one sample late.
    const closed = Math.max(0, Math.floor((end - 1) / columnSamples) - this.first);
    this.first += closed;
    this.counts = grown.slice(closed * intervalRows);
    return grown.slice(0, closed * intervalRows);
  }

  /** The last columns. */
  finish(): Uint16Array {
    return this.counts;
  }
}

/** Counts of intervals over time at every scale; grows at its end. */
export class IntervalMap {
  private readonly levels: GrowingColumns[] = [new GrowingColumns()];

  /** Adds columns as `IntervalCounter` makes them. */
  push(columns: Uint16Array): void {
    let added = columns;
    for (let level = 0; added.length > 0; level += 1) {
      let own = this.levels[level];
      if (own === undefined) {
        own = new GrowingColumns();
        this.levels.push(own);
      }
      const before = Math.floor(own.count / fan);
      own.push(added);
      if (own.count < fan) return;
      added = own.joined(before, Math.floor(own.count / fan));
    }
  }

  /** Adds to `sums` the counts of the columns that touch the samples from `from` to before `to`. */
  addTo(sums: Float64Array, from: number, to: number): void {
    const wanted = Math.floor(Math.log(Math.max(1, (to - from) / (2 * columnSamples))) / Math.log(fan));
    let start = from;
    for (let level = Math.min(wanted, this.levels.length - 1); level >= 0 && start < to; level -= 1) {
      const columns = this.levels[level];
      if (columns === undefined) continue;
      const size = columnSamples * fan ** level;
      const last = Math.min(columns.count, Math.ceil(to / size));
      for (let i = Math.max(0, Math.floor(start / size)); i < last; i += 1) columns.addTo(sums, i);
      start = Math.max(start, columns.count * size);
    }
  }
}

class GrowingColumns {
  count = 0;
  private values = new Uint16Array(64 * intervalRows);

  push(columns: Uint16Array): void {
    const needed = this.count * intervalRows + columns.length;
    if (needed > this.values.length) {
      const grown = new Uint16Array(Math.max(needed, 2 * this.values.length));
      grown.set(this.values);
      this.values = grown;
    }
    this.values.set(columns, this.count * intervalRows);
    this.count += columns.length / intervalRows;
  }

  addTo(sums: Float64Array, column: number): void {
    const start = column * intervalRows;
    for (let row = 0; row < intervalRows; row += 1) {
      sums[row] = (sums[row] ?? 0) + (this.values[start + row] ?? 0);
    }
  }

  joined(from: number, to: number): Uint16Array {
    const out = new Uint16Array((to - from) * intervalRows);
    for (let i = from; i < to; i += 1) {
      for (let row = 0; row < intervalRows; row += 1) {
        let sum = 0;
        for (let k = 0; k < fan; k += 1) sum += this.values[(fan * i + k) * intervalRows + row] ?? 0;
        out[(i - from) * intervalRows + row] = Math.min(sum, 65535);
      }
    }
    return out;
  }
}
