/** What the audio thread offers; the types of the page do not know it. */
declare class AudioWorkletProcessor {
  readonly port: MessagePort;
}
declare function registerProcessor(name: string, processor: new () => AudioWorkletProcessor): void;

/** Samples of a piece: a tenth of a second, about, so that the meter follows. */
const pieceSamples = 4096;

/** Hands what comes in to the page, in pieces, and puts out nothing. */
class Tap extends AudioWorkletProcessor {
  private pieces: Float32Array[] = [];
  private filled = 0;

  /** Called by the browser for every 128 samples; true asks to be called again. */
  process(inputs: readonly (readonly Float32Array[])[]): boolean {
    const channels = inputs[0] ?? [];
    const count = channels[0]?.length ?? 0;
    if (count === 0) return true;
    if (this.pieces.length !== channels.length || this.filled + count > pieceSamples) {
      this.send();
      this.pieces = channels.map(() => new Float32Array(pieceSamples));
    }
    for (const [number, samples] of channels.entries()) this.pieces[number]?.set(samples, this.filled);
    this.filled += count;
    return true;
  }

  private send(): void {
    if (this.filled === 0) return;
    const channels = this.pieces.map((piece) => piece.slice(0, this.filled));
    this.port.postMessage(
      channels,
      channels.map(({ buffer }) => buffer),
    );
    this.filled = 0;
  }
}

registerProcessor("boardwake-tap", Tap);
