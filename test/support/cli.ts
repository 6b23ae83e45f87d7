import type { CliIo } from "../../src/cli/io.js";
import { run } from "../../src/cli/run.js";
import { BoardwakeError } from "../../src/core/base/errors.js";
import { openStore, type Store } from "../../src/store/store.js";
import { tooLarge } from "../../src/store/text-file.js";

/** What a command line did. */
export interface CliRun {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

/** What a command line is given besides its words. */
export interface CliInput {
  /** Everything on the input stream, for `-`. */
  readonly text?: string;
  /** Lines typed in a session, one after the other; then the input ends. */
  readonly lines?: readonly string[];
  readonly isInteractive?: boolean;
  readonly hasColour?: boolean;
  readonly store?: Store;
}

const installed = openStore();

/** Runs a command line in this process, with everything it writes kept. */
export async function runCli(argv: readonly string[], input: CliInput = {}): Promise<CliRun> {
  const out: string[] = [];
  const err: string[] = [];
  const lines = [...(input.lines ?? [])];
  const io: CliIo = {
    out: (text) => void out.push(text),
    err: (text) => void err.push(text),
    readAll: (maximumBytes) => {
      const text = input.text ?? "";
      if (text.length <= maximumBytes) return Promise.resolve(text);
      const reason = tooLarge(text.length, maximumBytes);
      return Promise.reject(new BoardwakeError("file-unreadable", { file: "the input stream", reason }));
    },
    readLine: (prompt) => {
      out.push(prompt);
      const line = lines.shift();
      if (line !== undefined) out.push(`${line}\n`);
      return Promise.resolve(line);
    },
    close: () => {},
    isInteractive: input.isInteractive === true,
    hasColour: input.hasColour === true,
  };
  const code = await run(argv, { io, store: input.store ?? installed, version: "0.0.0" });
  return { code, out: out.join(""), err: err.join("") };
}

/** Lines wider than a page of 80 columns. */
export function wideLines(text: string): string[] {
  return text.split("\n").filter((line) => [...line].length > 80);
}
