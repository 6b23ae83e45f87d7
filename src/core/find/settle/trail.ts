import { copyValue, planeCount } from "./planes.js";

/** Numbers kept for one change: where, then the value that stood there. */
const stride = planeCount + 1;

/** Remembers what values were before they changed, so that every change can be taken back exactly. */
export class Trail {
  private entries = new Int32Array(1024 * stride);
  private length = 0;
  private readonly tables: readonly Int32Array[];

  /** @param tables the arrays of values whose changes are remembered, at most two */
  constructor(...tables: readonly Int32Array[]) {
    this.tables = tables;
  }

  /** Remembers the value that starts at `at` of a table; call before changing it. */
  save(table: 0 | 1, at: number): void {
    if (this.length === this.entries.length) this.grow();
    this.entries[this.length] = at * 2 + table;
    copyValue(this.tables[table] as Int32Array, at, this.entries, this.length + 1);
    this.length += stride;
  }

  private grow(): void {
    const entries = new Int32Array(this.entries.length * 2);
    entries.set(this.entries);
    this.entries = entries;
  }

  /** Point to which `undo` can return. */
  mark(): number {
    return this.length;
  }

  /** Takes back everything since the mark, newest first. */
  undo(mark: number): void {
    for (let i = this.length - stride; i >= mark; i -= stride) {
      const at = this.entries[i] as number;
      copyValue(this.entries, i + 1, this.tables[at & 1] as Int32Array, at >> 1);
    }
    this.length = mark;
  }

  /** Calls back with the place of each change of a table since the mark, oldest first; a place may come twice. */
  each(table: 0 | 1, mark: number, visit: (at: number) => void): void {
    for (let i = mark; i < this.length; i += stride) {
      const at = this.entries[i] as number;
      if ((at & 1) === table) visit(at >> 1);
    }
  }

  /** Forgets everything: the present values are those `undo(0)` returns to. */
  clear(): void {
    this.length = 0;
  }
}
