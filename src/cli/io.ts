/** Everything the command line touches of the outside world besides the store. */
export interface CliIo {
  /** Writes data, as it is. */
  out(text: string): void;
  /** Writes talk: problems, progress. */
  err(text: string): void;
  /** Everything on the input stream. Rejects with `file-unreadable` if it is larger than `maximumBytes` or no text. */
  readAll(maximumBytes: number): Promise<string>;
  /** Everything on the input stream as bytes, in pieces. */
  readBytes(): AsyncIterable<Uint8Array>;
  /** Shows a prompt and reads a line; undefined at the end of the input. */
  readLine(prompt: string): Promise<string | undefined>;
  /** Lets go of the input, so that the process can end. */
  close(): void;
  /** True if a person sits at the other end: input and output are terminals. */
  readonly isInteractive: boolean;
  /** True if output may be coloured. */
  readonly hasColour: boolean;
}
