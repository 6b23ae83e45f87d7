/** A file that is read in order, once, in pieces of any length. */
export interface ByteStream {
  /** Name of the file, as problems show it. */
  readonly file: string;
  /** Length of the file where it is known; a pipe has none. */
  readonly sizeBytes?: number;
  readonly chunks: AsyncIterable<Uint8Array>;
}

/** Most bytes of a piece of a file in memory. */
const pieceBytes = 65536;

/** A file that is in memory already. */
export function bytesOf(file: string, bytes: Uint8Array): ByteStream {
  return { file, sizeBytes: bytes.length, chunks: pieces(bytes) };
}

async function* pieces(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  for (let start = 0; start < bytes.length; start += pieceBytes) {
    yield bytes.subarray(start, start + pieceBytes);
  }
}

/** Takes bytes from a stream in the lengths that a reader wants them in. Holds one piece at a time. */
export class ByteTaker {
  private readonly iterator: AsyncIterator<Uint8Array>;
  private held: Uint8Array = new Uint8Array(0);
  private place = 0;

  constructor(stream: ByteStream) {
    this.iterator = stream.chunks[Symbol.asyncIterator]();
  }

  /** Offset of the next byte. */
  get offset(): number {
    return this.place;
  }

  /** The next `count` bytes; fewer at the end of the file. */
  async take(count: number): Promise<Uint8Array> {
    const seen = await this.peek(count);
    this.held = this.held.subarray(seen.length);
    this.place += seen.length;
    return seen;
  }

  /** The next `count` bytes, which are there to be taken again. */
  async peek(count: number): Promise<Uint8Array> {
    while (this.held.length < count && (await this.pull()));
    return this.held.subarray(0, count);
  }

  /** What has been read and not taken, at most `count` bytes of it; empty only at the end of the file. */
  async takeSome(count: number): Promise<Uint8Array> {
    while (this.held.length === 0 && (await this.pull()));
    return this.take(Math.min(count, this.held.length));
  }

  /** Passes over up to `count` bytes and says how many there were. */
  async skip(count: number): Promise<number> {
    let left = count;
    while (left > 0) {
      const passed = (await this.takeSome(left)).length;
      if (passed === 0) break;
      left -= passed;
    }
    return count - left;
  }

  /** Lets go of the file before its end. */
  async close(): Promise<void> {
    await this.iterator.return?.();
  }

  private async pull(): Promise<boolean> {
    const { done, value } = await this.iterator.next();
    if (done === true) return false;
    if (this.held.length === 0) {
      this.held = value;
      return true;
    }
    const joined = new Uint8Array(this.held.length + value.length);
    joined.set(this.held);
    joined.set(value, this.held.length);
    this.held = joined;
    return true;
  }
}
