/** A list of numbers that grows, four bytes each. */
export class FloatList {
  private held = new Float32Array(4096);
  private count = 0;

  push(value: number): void {
    if (this.count === this.held.length) {
      const larger = new Float32Array(2 * this.held.length);
      larger.set(this.held);
      this.held = larger;
    }
    this.held[this.count] = value;
    this.count += 1;
  }

  /** What is in it now. */
  values(): Float32Array {
    return this.held.subarray(0, this.count);
  }
}
