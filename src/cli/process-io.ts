import { createInterface, type Interface } from "node:readline";
import { BoardwakeError } from "../core/base/errors.js";
import type { CliIo } from "./io.js";

/** How bytes become text and what is said of too many; the store's, which owns reading. */
export interface InputReading {
  decode(bytes: Uint8Array, name: string): string;
  tooLarge(bytes: number, maximumBytes: number): string;
}

/** Input and output of this process. Colours follow NO_COLOR and FORCE_COLOR, else whether output is a terminal. */
export function createProcessIo(reading: InputReading): CliIo {
  const { stdin, stdout, stderr, env } = process;
  const lines = new LineReader();
  // Whoever reads our output may stop early, as `head` does: then nothing more needs to be said.
  for (const stream of [stdout, stderr]) stream.on("error", quietOnClosedPipe);
  return {
    out: (text) => void stdout.write(text),
    err: (text) => void stderr.write(text),
    readAll: async (maximumBytes) => {
      const chunks: Buffer[] = [];
      let size = 0;
      for await (const chunk of stdin) {
        const bytes = Buffer.from(chunk);
        size += bytes.length;
        if (size > maximumBytes) {
          const reason = reading.tooLarge(size, maximumBytes);
          throw new BoardwakeError("file-unreadable", { file: "the input stream", reason });
        }
        chunks.push(bytes);
      }
      return reading.decode(Buffer.concat(chunks), "the input stream");
    },
    readBytes: () => stdin,
    readLine: (prompt) => lines.next(prompt),
    close: () => lines.close(),
    isInteractive: stdin.isTTY === true && stdout.isTTY === true,
    hasColour: wantsColour(env, stdout.isTTY === true),
  };
}

/** NO_COLOR (no-color.org) wins over FORCE_COLOR; without either, a terminal gets colours unless it is a dumb one. */
export function wantsColour(env: NodeJS.ProcessEnv, isTerminal: boolean): boolean {
  const isSet = (value: string | undefined): boolean => value !== undefined && value !== "";
  if (isSet(env["NO_COLOR"])) return false;
  if (isSet(env["FORCE_COLOR"])) return env["FORCE_COLOR"] !== "0";
  return isTerminal && env["TERM"] !== "dumb";
}

function quietOnClosedPipe(error: NodeJS.ErrnoException): void {
  if (error.code === "EPIPE") process.exit(process.exitCode ?? 0);
  throw error;
}

/** Lines of the input, one at a time; what comes early waits. */
class LineReader {
  private reader: Interface | undefined;
  private readonly waiting: string[] = [];
  private wanted: ((line: string | undefined) => void) | undefined;
  private hasEnded = false;

  next(prompt: string): Promise<string | undefined> {
    const reader = this.open();
    const line = this.waiting.shift();
    if (line !== undefined || this.hasEnded) {
      process.stdout.write(`${prompt}\n`);
      return Promise.resolve(line);
    }
    reader.setPrompt(prompt);
    reader.prompt();
    return new Promise((resolve) => {
      this.wanted = resolve;
    });
  }

  private open(): Interface {
    if (this.reader !== undefined) return this.reader;
    const { stdin, stdout } = process;
    const reader = createInterface({ input: stdin, output: stdout, terminal: stdin.isTTY === true });
    reader.on("line", (line) => this.give(line));
    reader.on("close", () => {
      this.hasEnded = true;
      this.give(undefined);
    });
    this.reader = reader;
    return reader;
  }

  /** Lets the process end although the input is still open. */
  close(): void {
    this.reader?.close();
  }

  private give(line: string | undefined): void {
    const wanted = this.wanted;
    this.wanted = undefined;
    if (wanted !== undefined) wanted(line);
    else if (line !== undefined) this.waiting.push(line);
  }
}
